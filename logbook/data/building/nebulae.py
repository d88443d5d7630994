"""Nebulae and clusters that OpenNGC lacks, from the data files of the d3-celestial package."""

import json
from collections.abc import Iterable
from typing import Any

from logbook.data.building.designations import supplement_name
from logbook.data.building.rows import Row

MEMBER = "package/data/dsos.20.json"

# Catalogue, and the smallest size in arcmin worth a place in the table.
# PK numbers stand for the planetaries of Abell and others; LDN sizes come from an area.
WANTED = {"B": 0.0, "Sh2": 0.0, "VdB": 0.0, "RCW": 0.0, "Cr": 0.0, "PK": 1.0, "LDN": 10.0}

KINDS = {
    "bn": "bright nebula",
    "en": "HII region",
    "rn": "reflection nebula",
    "dn": "dark nebula",
    "oc": "open cluster",
    "pn": "planetary nebula",
    "snr": "supernova remnant",
    "sfr": "cluster with nebula",
}
# These catalogues hold one kind of object, whatever single rows say.
_CATALOGUE_KINDS = {"B": "dark nebula", "LDN": "dark nebula", "VdB": "reflection nebula"}
_HII_CATALOGUES = ("Sh2", "RCW")
# Elsewhere the number is an opacity class or belongs to the star that lights the nebula.
_KINDS_WITH_MAGNITUDE = ("open cluster",)


def read(geojson: bytes, taken: Iterable[str]) -> list[Row]:
    """Return the wanted objects whose designation is not among `taken`."""
    known = set(taken)
    rows = (_row(feature) for feature in json.loads(geojson)["features"])
    return [row for row in rows if row is not None and row.id not in known]


def _row(feature: dict[str, Any]) -> Row | None:
    name = feature["id"]
    catalogue = name.split()[0]
    smallest = WANTED.get(catalogue)
    properties = feature["properties"]
    kind = _kind(catalogue, properties["type"])
    if smallest is None or kind is None:
        return None
    major, minor = _size(properties["dim"])
    if (major or 0.0) < smallest:
        return None
    longitude, latitude = feature["geometry"]["coordinates"]
    return Row(
        id=supplement_name(name),
        kind=kind,
        ra_deg=longitude % 360.0,
        dec_deg=latitude,
        major_arcmin=major,
        minor_arcmin=minor,
        magnitude=_magnitude(properties["mag"]) if kind in _KINDS_WITH_MAGNITUDE else None,
        origin="S",
    )


def _kind(catalogue: str, code: str) -> str | None:
    if code == "bn" and catalogue in _HII_CATALOGUES:
        return "HII region"
    return _CATALOGUE_KINDS.get(catalogue) or KINDS.get(code)


def _size(text: str) -> tuple[float | None, float | None]:
    """Return the axes in arcmin of "20x15" or "6.5"; the larger first."""
    axes = sorted((round(float(part), 1) for part in text.split("x") if part), reverse=True)
    major = axes[0] if axes and axes[0] > 0 else None
    minor = axes[1] if len(axes) > 1 and axes[1] > 0 else None
    return major, minor


def _magnitude(text: str) -> float | None:
    value = float(text) if text else 0.0
    return value if 0.0 < value < 90.0 else None  # 0 and 999 stand for "not known" there
