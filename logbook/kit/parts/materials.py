"""What tubes and mirrors are made of, as far as heat is concerned."""

from dataclasses import dataclass

from logbook.text import fold


@dataclass(frozen=True, slots=True)
class Material:
    """expansion_um_m_k is the growth in µm for a metre and a kelvin."""

    name: str
    expansion_um_m_k: float
    density_kg_m3: float
    heat_j_kg_k: float


# Expansion: handbook values for the usual alloys and glasses. Of carbon fibre (-1 to 3) and glass
# fibre, of wood along the grain, and the densities and heats of the three: from memory, they differ
# from maker to maker.
_MATERIALS = (
    Material("aluminium", 23.6, 2700.0, 896.0),
    Material("steel", 11.7, 7850.0, 480.0),
    Material("stainless steel", 17.2, 8000.0, 500.0),
    Material("carbon fibre", 1.0, 1600.0, 900.0),
    Material("glass fibre", 12.0, 1900.0, 900.0),
    Material("wood", 5.0, 600.0, 1700.0),
    Material("borosilicate", 3.25, 2230.0, 830.0),
    Material("soda-lime", 8.7, 2500.0, 840.0),
    Material("fused silica", 0.55, 2200.0, 740.0),
    Material("glass-ceramic", 0.05, 2530.0, 800.0),
)
_BY_NAME = {material.name: material for material in _MATERIALS}
_ALSO = {
    "aluminum": "aluminium",
    "alloy": "aluminium",
    "carbon": "carbon fibre",
    "carbon fiber": "carbon fibre",
    "glass fiber": "glass fibre",
    "fiberglass": "glass fibre",
    "stainless": "stainless steel",
    "plate glass": "soda-lime",
    "quartz": "fused silica",
}


def material(word: str | None) -> Material | None:
    """The material meant; None for none and for one that is not in the table."""
    name = fold(word or "")
    return _BY_NAME.get(_ALSO.get(name, name))
