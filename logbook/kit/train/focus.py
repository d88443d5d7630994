"""Focus zone and focus drift of a whole train, as its focuser has to follow them."""

from logbook.kit.optics.focus import (
    FocusDrift,
    FocusZone,
    focus_drift,
    focus_zones,
    mirror_drift_um_per_k,
    tube_drift_um_per_k,
)
from logbook.kit.parts.materials import Material, material
from logbook.kit.parts.part import Part, Train
from logbook.kit.train.light_cone import Lens


def zones_of(
    train: Train,
    found: tuple[Lens, ...],
    ratio: float | None,
    focal_length_mm: float | None,
    seeing_arcsec: float,
    wavelength_um: float,
) -> tuple[FocusZone, ...]:
    """found -- the train's reducers and Barlows. Empty where ratio or focal length is not known."""
    if ratio is None or focal_length_mm is None:
        return ()
    return focus_zones(
        ratio, focal_length_mm, seeing_arcsec, _step_um(train), wavelength_um, gain(train, found)
    )


def gain(train: Train, found: tuple[Lens, ...]) -> float:
    """How far the focus moves at the sensor for a move of the focuser: a lens that the focuser
    moves along multiplies it by the square of its factor."""
    focuser = train.first("focuser")
    begins = train.parts.index(focuser) if focuser else len(train.parts)
    moved = 1.0
    for lens in found:
        if lens.place > begins:
            moved *= lens.factor**2
    return moved


def _step_um(train: Train) -> float | None:
    focuser = train.first("focuser")
    return focuser.possible("step_um") if focuser else None


def drift_of(
    train: Train, found: tuple[Lens, ...], zones: tuple[FocusZone, ...]
) -> FocusDrift | None:
    """None where the tube's material or, with two mirrors, their spacing is not known."""
    telescope = train.first("telescope")
    tube = material(telescope.word("tube_material")) if telescope else None
    native = _native_um_per_k(telescope, tube) if telescope and tube else None
    if tube is None or native is None:
        return None
    moved = gain(train, found)
    whole = 1.0
    for lens in found:
        whole *= lens.factor**2
    zone_um = zones[0].length_um / moved if zones else None
    return focus_drift(native * whole / moved, tube.name, zone_um, _step_um(train))


def _native_um_per_k(telescope: Part, tube: Material) -> float | None:
    """By the mirrors' spacing where there are two; a lens or one mirror by the tube alone."""
    focal_mm = telescope.possible("focal_length_mm")
    if focal_mm is None:
        return None
    if telescope.possible("mirror_count") in (0, 1):
        return tube_drift_um_per_k(focal_mm, tube)
    primary_mm = telescope.possible("primary_focal_length_mm")
    apart_mm = telescope.possible("mirror_spacing_mm")
    if primary_mm is None or apart_mm is None:
        return None
    mirrors = material(telescope.word("mirror_material"))
    return mirror_drift_um_per_k(focal_mm, primary_mm, apart_mm, tube, mirrors)
