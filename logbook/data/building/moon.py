"""Named features of the Moon, from a data stream of the marble-qt-data package.

The file is a Qt data stream (big-endian): a magic number and a version, then one record a
feature: name, longitude, latitude, height, role, text, two empty texts, a number, the diameter
in metres and two small numbers. Lengths of texts are in bytes of UTF-16; -1 is no text.
"""

import struct
from collections.abc import Iterator

from logbook.data.building.rows import number, table

MEMBER = "./usr/share/marble/data/placemarks/moonterrain.cache"
COLUMNS = ("name", "kind", "latitude_deg", "longitude_deg", "diameter_km")
MAGIC = 0x31415926

KINDS = {"c": "crater", "a": "sea", "m": "mountain", "v": "valley"}
# The rest is known by the first word of the name; other names are of landing sites.
WORDS = {
    "Montes": "mountains",
    "Oceanus": "ocean",
    "Lacus": "lake",
    "Sinus": "bay",
    "Palus": "marsh",
    "Promontorium": "cape",
    "Rima": "rille",
    "Rimae": "rilles",
    "Rupes": "scarp",
    "Dorsum": "ridge",
    "Dorsa": "ridges",
    "Catena": "crater chain",
}
# Libration in longitude shows us 8 degrees round the limb.
FARTHEST_LONGITUDE_DEG = 98.0
SMALLEST_CRATER_KM = 20.0


def read(stream: bytes) -> str:
    """Return moon.csv: features that can be seen from the Earth, sorted by name."""
    found = {feature[:4]: feature for feature in _features(stream)}
    rows = sorted(feature for feature in found.values() if _wanted(feature))
    return table(
        COLUMNS,
        (
            [name, kind, f"{latitude:.2f}", f"{longitude:.2f}", number(diameter or None, 1)]
            for name, kind, latitude, longitude, diameter in rows
        ),
    )


Feature = tuple[str, str, float, float, float]


def _wanted(feature: Feature) -> bool:
    name, kind, _, longitude, diameter = feature
    named = bool(kind) and not name.startswith("[")  # brackets mark names no longer approved
    large_enough = kind != "crater" or diameter >= SMALLEST_CRATER_KM
    return named and large_enough and abs(longitude) <= FARTHEST_LONGITUDE_DEG


def _features(stream: bytes) -> Iterator[Feature]:
    magic, _ = struct.unpack_from(">Ii", stream)
    if magic != MAGIC:
        raise ValueError("this is not the stream of the Moon's features")
    at = 8
    while at < len(stream):
        name, at = _text(stream, at)
        longitude, latitude, _ = struct.unpack_from(">ddd", stream, at)
        role, at = _text(stream, at + 24)
        _, at = _text(stream, at)
        _, at = _text(stream, at)
        _, at = _text(stream, at)
        _, diameter_m, _, _ = struct.unpack_from(">dqhb", stream, at)
        at += 19
        yield (
            name,
            WORDS.get(name.split()[0]) or KINDS.get(role, ""),
            _degrees(latitude),
            _degrees(longitude),
            max(diameter_m, 0) / 1000.0,
        )


def _text(stream: bytes, at: int) -> tuple[str, int]:
    (length,) = struct.unpack_from(">i", stream, at)
    at += 4
    if length < 0:
        return "", at
    return stream[at : at + length].decode("utf-16-be"), at + length


def _degrees(radians: float) -> float:
    return round(radians * 57.29577951308232, 2) + 0.0
