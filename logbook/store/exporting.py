"""A whole book as plain files that any program can read, and that make the same book again.

`book.json` holds every row of every table and is what `importing` reads. `tables/NAME.csv` hold the
same for a spreadsheet, `frames.ecsv` the runs of frames in one table. `schema.json` says what each
column is. The same book gives the same bytes.
"""

import csv
import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from sqlalchemy import Column, Table
from sqlalchemy.orm import Session

from logbook.errors import BadInput, NotWritten
from logbook.store import opening
from logbook.store.engine import Sessions
from logbook.store.frames_table import write_frames_table
from logbook.store.models import Base
from logbook.store.spreadsheet import harmless
from logbook.store.table_rows import kind_word, plain_rows, tables

FORMAT = "observing-logbook export"
VERSION = 1
BOOK_FILE = "book.json"
SCHEMA_FILE = "schema.json"
TABLES_FOLDER = "tables"

_UNITS = {
    "mag_arcsec2": "magnitudes per square arcsecond",
    "arcsec_min": "arcseconds per minute",
    "m_s": "metres per second",
    "per_second": "per second",
    "arcmin": "arcminutes",
    "arcsec": "arcseconds",
    "deg": "degrees",
    "hpa": "hectopascals",
    "hours": "hours",
    "mm": "millimetres",
    "um": "micrometres",
    "kg": "kilograms",
    "px": "pixels",
    "s": "seconds",
    "m": "metres",
    "c": "degrees Celsius",
}


@dataclass(frozen=True, slots=True)
class Exported:
    """Where a book was written to, and how many rows it has."""

    folder: Path
    rows: int
    nights: int
    entries: int
    runs_of_frames: int


def export_book(sessions: Sessions, folder: Path) -> Exported:
    """Write the whole book into `folder`, which is made, empty, or holds an earlier export.

    Every file is replaced whole. Raises BadInput for a folder with anything else in it, NotWritten.
    """
    _refuse_other_content(folder)
    try:
        (folder / TABLES_FOLDER).mkdir(parents=True, exist_ok=True)
        with sessions.reading() as session:
            counts = _write_book(session, folder / BOOK_FILE)
            for table in tables():
                _write_table(session, table, folder / TABLES_FOLDER / f"{table.name}.csv")
            runs = write_frames_table(session, folder)
        _write_schema(folder / SCHEMA_FILE)
    except OSError as error:
        raise NotWritten(f"Nothing whole was written to {folder}: {error.strerror}.") from error
    return Exported(folder, sum(counts.values()), counts["night"], counts["entry"], runs)


def _refuse_other_content(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise BadInput(f"{folder} is a file: name a folder to write the book to.")
    if not folder.is_dir() or (folder / SCHEMA_FILE).exists() or not any(folder.iterdir()):
        return
    raise BadInput(f"{folder} holds other files: name an empty folder, or a new one.")


@contextmanager
def replacing(path: Path) -> Iterator[IO[str]]:
    """A text file that takes the place of `path` once it is whole and on disk."""
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        with part.open("w", encoding="utf-8", newline="\n") as opened:
            yield opened
            opened.flush()
            os.fsync(opened.fileno())
        os.replace(part, path)
    finally:
        part.unlink(missing_ok=True)


def _write_book(session: Session, path: Path) -> dict[str, int]:
    """Write every table, a line for each row, so that two exports compare; the rows of each."""
    counts: dict[str, int] = {}
    with replacing(path) as out:
        out.write(f'{{"format": {json.dumps(FORMAT)}, "version": {VERSION},\n')
        out.write(f'"revision": {json.dumps(opening.HEAD)},\n"tables": {{')
        for place, table in enumerate(tables()):
            names = json.dumps([column.name for column in table.columns])
            out.write(f"{',' if place else ''}\n{json.dumps(table.name)}: ")
            out.write(f'{{"columns": {names}, "rows": [')
            counts[table.name] = _write_rows(session, table, out.write)
            out.write("]}")
        out.write("\n}}\n")
    return counts


def _write_rows(session: Session, table: Table, write: Callable[[str], object]) -> int:
    count = 0
    for row in plain_rows(session, table):
        write(f"{',' if count else ''}\n{json.dumps(row, ensure_ascii=False, allow_nan=False)}")
        count += 1
    return count


def _write_table(session: Session, table: Table, path: Path) -> None:
    with replacing(path) as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(column.name for column in table.columns)
        writer.writerows([harmless(cell) for cell in row] for row in plain_rows(session, table))


def _write_schema(path: Path) -> None:
    described = {
        "format": FORMAT,
        "version": VERSION,
        "revision": opening.HEAD,
        "how": (
            "book.json holds every row and is what an import reads. tables/*.csv hold the same for "
            "a spreadsheet; text that a spreadsheet would take for a formula begins with an "
            "apostrophe there. Instants are UTC."
        ),
        "tables": {table.name: _described(table) for table in tables()},
    }
    with replacing(path) as out:
        json.dump(described, out, ensure_ascii=False, indent=1)
        out.write("\n")


def _described(table: Table) -> dict[str, object]:
    return {
        "what": _meaning(table),
        "key": [column.name for column in table.primary_key.columns],
        "columns": [_described_column(column) for column in table.columns],
    }


def _meaning(table: Table) -> str:
    """The first sentence of the table's own description in the program."""
    for mapper in Base.registry.mappers:
        if mapper.local_table is table:
            words = (mapper.class_.__doc__ or "").strip().split("\n\n")[0]
            return " ".join(words.split())
    return ""


def _described_column(column: Column[object]) -> dict[str, object]:
    described: dict[str, object] = {
        "name": column.name,
        "holds": kind_word(column),
        "may_be_empty": bool(column.nullable),
    }
    unit = next((words for end, words in _UNITS.items() if column.name.endswith(f"_{end}")), None)
    if unit is not None:
        described["unit"] = unit
    if column.foreign_keys:
        described["points_to"] = sorted(key.target_fullname for key in column.foreign_keys)
    return described
