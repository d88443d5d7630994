"""One deep-sky object while the table is being built, and how it is written."""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

DSO_COLUMNS = (
    "id",
    "kind",
    "constellation",
    "ra_deg",
    "dec_deg",
    "major_arcmin",
    "minor_arcmin",
    "position_angle_deg",
    "magnitude",
    "band",
    "surface_brightness",
    "name",
    "aliases",
    "from",
)


@dataclass
class Row:
    """One object. Unknown is None; `origin` is OpenNGC, supplement or hand (O, S, H)."""

    id: str
    kind: str
    ra_deg: float
    dec_deg: float
    constellation: str = ""
    major_arcmin: float | None = None
    minor_arcmin: float | None = None
    position_angle_deg: float | None = None
    magnitude: float | None = None
    band: str = ""
    surface_brightness: float | None = None
    name: str = ""
    aliases: list[str] = field(default_factory=list)
    origin: str = "O"


def number(value: float | None, decimals: int) -> str:
    """Return a number without needless zeros, or nothing for None: 5.0 -> "5"."""
    if value is None:
        return ""
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a CSV with a header line and LF line ends."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()


def dso_table(rows: Iterable[Row]) -> str:
    """Return dso.csv, sorted as a person would sort the ids."""
    in_order = sorted(rows, key=lambda row: sort_key(row.id))
    return table(DSO_COLUMNS, map(_cells, in_order))


def _cells(row: Row) -> list[str]:
    return [
        row.id,
        row.kind,
        row.constellation,
        f"{row.ra_deg:.5f}",
        f"{row.dec_deg:.5f}",
        number(row.major_arcmin, 2),
        number(row.minor_arcmin, 2),
        number(row.position_angle_deg, 0),
        number(row.magnitude, 2),
        row.band,
        number(row.surface_brightness, 2),
        row.name,
        "|".join(row.aliases),
        row.origin,
    ]


def sort_key(designation: str) -> list[tuple[str, int]]:
    """Return a key that puts NGC 9 before NGC 10."""
    parts = re.findall(r"(\D*)(\d*)", designation)
    return [(letters, int(digits or 0)) for letters, digits in parts]
