"""What was put right by hand: corrections.csv always wins over the sources.

A row names one object and gives only what changes; an empty cell leaves things as they are and
"-" clears. `do` is "change", "new" (the object is in no source) or "drop". `becomes` gives the
object a better known id and keeps the old one as an alias. Several values are parted by "|".
"""

import csv
import io
from collections.abc import Callable

from logbook.data.building.rows import Row

COLUMNS = (
    "do",
    "id",
    "becomes",
    "kind",
    "name",
    "ra_deg",
    "dec_deg",
    "constellation",
    "major_arcmin",
    "minor_arcmin",
    "position_angle_deg",
    "magnitude",
    "band",
    "aliases",
    "not_aliases",
    "source",
)
_TEXTS = ("kind", "name", "constellation", "band")
_NUMBERS = (
    "ra_deg",
    "dec_deg",
    "major_arcmin",
    "minor_arcmin",
    "position_angle_deg",
    "magnitude",
)
_SIZES = ("major_arcmin", "minor_arcmin")


def read(text: str) -> list[dict[str, str]]:
    """Return the corrections in order; raises ValueError for one that lacks its source."""
    reader = csv.DictReader(io.StringIO(text))
    if tuple(reader.fieldnames or ()) != COLUMNS:
        raise ValueError(f"corrections need the columns {', '.join(COLUMNS)}")
    corrections = list(reader)
    for correction in corrections:
        if not correction["source"]:
            raise ValueError(f"the correction of {correction['id']} does not say its source")
    return corrections


def apply(rows: list[Row], corrections: list[dict[str, str]]) -> list[Row]:
    """Return the rows with the corrections made; raises ValueError for an object not there."""
    by_id = {row.id: row for row in rows}
    acts: dict[str, Callable[[dict[str, Row], dict[str, str]], None]] = {
        "new": _add,
        "drop": _drop,
        "change": _change,
    }
    for correction in corrections:
        acts[correction["do"]](by_id, correction)
    return list(by_id.values())


def _add(rows: dict[str, Row], correction: dict[str, str]) -> None:
    identifier = correction["id"]
    if identifier in rows:
        raise ValueError(f"{identifier} is called new but is in the sources")
    row = Row(id=identifier, kind="", ra_deg=0.0, dec_deg=0.0, origin="H")
    _set_values(row, correction)
    if not row.kind or not correction["ra_deg"] or not correction["dec_deg"]:
        raise ValueError(f"{identifier} is new and needs a kind and a position")
    rows[identifier] = row


def _drop(rows: dict[str, Row], correction: dict[str, str]) -> None:
    del rows[_known(rows, correction["id"]).id]


def _change(rows: dict[str, Row], correction: dict[str, str]) -> None:
    row = _known(rows, correction["id"])
    _set_values(row, correction)
    if correction["becomes"]:
        del rows[row.id]
        row.aliases.append(row.id)
        row.id = correction["becomes"]
        rows[row.id] = row
    row.aliases = [alias for alias in row.aliases if alias not in (row.id, row.name)]


def _known(rows: dict[str, Row], identifier: str) -> Row:
    if identifier not in rows:
        raise ValueError(f"there is no {identifier} to correct")
    return rows[identifier]


def _set_values(row: Row, correction: dict[str, str]) -> None:
    for column in _TEXTS:
        if correction[column]:
            setattr(row, column, "" if correction[column] == "-" else correction[column])
    for column in _NUMBERS:
        if correction[column]:
            value = None if correction[column] == "-" else float(correction[column])
            setattr(row, column, value)
    unwanted = _parts(correction["not_aliases"])
    wanted = [*row.aliases, *_parts(correction["aliases"])]
    row.aliases = [alias for alias in dict.fromkeys(wanted) if alias not in unwanted]
    if any(correction[column] for column in _SIZES):
        row.origin = "H"


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split("|") if part.strip()]
