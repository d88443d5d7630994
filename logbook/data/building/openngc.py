"""Deep-sky objects from OpenNGC, as packed in the pyongc wheel (an SQLite file)."""

import math
import sqlite3
from collections.abc import Iterator

from logbook.data.building.designations import openngc_identifier, openngc_name
from logbook.data.building.rows import Row

MEMBER = "pyongc/ongc.db"

KINDS = {
    "G": "galaxy",
    "GPair": "galaxy group",
    "GTrpl": "galaxy group",
    "GGroup": "galaxy group",
    "OCl": "open cluster",
    "GCl": "globular cluster",
    "PN": "planetary nebula",
    "Neb": "bright nebula",
    "EmN": "bright nebula",
    "HII": "HII region",
    "Cl+N": "cluster with nebula",
    "RfN": "reflection nebula",
    "SNR": "supernova remnant",
    "DrkN": "dark nebula",
    "*Ass": "association",
}
# Two Messier numbers are no deep-sky object at all, yet people look them up.
MESSIER_STARS = {"M040": "double star", "NGC6994": "asterism"}

_COLUMNS = (
    "name, type, ra, dec, const, majax, minax, pa, bmag, vmag, sbrightn, "
    "messier, ngc, ic, identifiers, commonnames"
)


def read(database: bytes) -> list[Row]:
    """Return every observable object; duplicate records became aliases of the one that stays."""
    records = list(_records(database))
    rows = {name: row for name, row in map(_row, records) if row is not None}
    for record in records:
        if record["type"] == "Dup":
            _fold(record, rows)
    ids = {row.id for row in rows.values()}
    for row in rows.values():
        others = (
            alias for alias in row.aliases if alias not in ids and alias not in ("", row.name)
        )
        row.aliases = list(dict.fromkeys(others))
    return list(rows.values())


def _records(database: bytes) -> Iterator[sqlite3.Row]:
    connection = sqlite3.connect(":memory:")
    connection.row_factory = sqlite3.Row
    try:
        connection.deserialize(database)
        yield from connection.execute(f"SELECT {_COLUMNS} FROM objects ORDER BY name")
    finally:
        connection.close()


def _row(record: sqlite3.Row) -> tuple[str, Row | None]:
    name = record["name"]
    kind = KINDS.get(record["type"]) or MESSIER_STARS.get(name)
    if kind is None or record["ra"] is None:
        return name, None
    magnitude, band = _magnitude(record)
    common = [_common_name(text) for text in _split(record["commonnames"])]
    aliases = common[1:] + _cross_names(record)
    major, minor = record["majax"] or None, record["minax"] or None
    return name, Row(
        id=openngc_name(name),
        kind=kind,
        constellation=_constellation(record["const"]),
        ra_deg=math.degrees(record["ra"]),
        dec_deg=math.degrees(record["dec"]),
        major_arcmin=major,
        minor_arcmin=minor,
        # A position angle without two different axes says nothing about framing.
        position_angle_deg=record["pa"] if minor and minor != major else None,
        magnitude=magnitude,
        band=band,
        surface_brightness=record["sbrightn"],
        name=common[0] if common else "",
        aliases=aliases,
    )


def _magnitude(record: sqlite3.Row) -> tuple[float | None, str]:
    for column, band in (("vmag", "V"), ("bmag", "B")):
        if record[column] is not None:
            return float(record[column]), band
    return None, ""


def _constellation(abbreviation: str | None) -> str:
    """Serpens comes in two parts there."""
    return "Ser" if abbreviation in ("Se1", "Se2") else abbreviation or ""


def _common_name(text: str) -> str:
    bare = text.removeprefix("the ").strip()
    return bare if bare[1:2] == " " else bare[:1].upper() + bare[1:]  # h Persei keeps its h


def _cross_names(record: sqlite3.Row) -> list[str]:
    named = [
        f"{prefix} {number.lstrip('0')}"
        for prefix, column in (("M", "messier"), ("NGC", "ngc"), ("IC", "ic"))
        for number in _split(record[column])
    ]
    return named + [openngc_identifier(text) for text in _split(record["identifiers"])]


def _split(text: str | None) -> list[str]:
    return [part.strip() for part in (text or "").split(",") if part.strip()]


def _fold(record: sqlite3.Row, rows: dict[str, Row]) -> None:
    """Make a duplicate record an alias of the row it points at (none does for an unused type)."""
    targets = [
        rows[prefix + number]
        for prefix, column in (("NGC", "ngc"), ("IC", "ic"), ("M", "messier"))
        for number in _split(record[column])
        if prefix + number in rows
    ]
    if targets:
        targets[0].aliases.append(openngc_name(record["name"]))
