"""A whole book as plain files that any program can read, and that make the same book again.

`book.json` holds every row of every table and is what `importing` reads. `tables/NAME.csv` hold the
same for a spreadsheet, `frames.ecsv` the runs of frames in one table. `schema.json` says what each
column is. The same book gives the same bytes.
"""

import csv
import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Table
from sqlalchemy.orm import Session

from logbook.errors import BadInput, NotWritten
from logbook.store.exchange.csv_cells import harmless
from logbook.store.exchange.descriptions import HOW, described
from logbook.store.exchange.ecsv_frames import write_frames_table
from logbook.store.file import book_state, files
from logbook.store.session.sessions import Sessions
from logbook.store.tables.values import plain_rows, tables

FORMAT = "observing-logbook export"
VERSION = 1
BOOK_FILE = "book.json"
SCHEMA_FILE = "schema.json"
TABLES_FOLDER = "tables"


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
        _write_schema(folder / SCHEMA_FILE)  # first: a folder left half written is still known
        with sessions.reading() as session:
            counts = _write_book(session, folder / BOOK_FILE)
            for table in tables():
                _write_table(session, table, folder / TABLES_FOLDER / f"{table.name}.csv")
            runs = write_frames_table(session, folder)
    except OSError as error:
        raise NotWritten(
            f"The export to {folder} is not whole ({error.strerror or error}): make room, or name "
            "another folder, and export again. The book was not touched."
        ) from error
    return Exported(folder, sum(counts.values()), counts["night"], counts["entry"], runs)


def _refuse_other_content(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise BadInput(f"{folder} is a file: name a folder to write the book to.")
    if not folder.is_dir() or _is_export(folder) or not any(folder.iterdir()):
        return
    raise BadInput(f"{folder} holds other files: name an empty folder, or a new one.")


def _is_export(folder: Path) -> bool:
    try:
        with (folder / SCHEMA_FILE).open("rb") as opened:
            return json.dumps(FORMAT).encode() in opened.read(200)
    except OSError:
        return False


def _write_book(session: Session, path: Path) -> dict[str, int]:
    """Write every table, a line for each row, so that two exports compare; the rows of each."""
    counts: dict[str, int] = {}
    with files.replacing(path) as out:
        out.write(f'{{"format": {json.dumps(FORMAT)}, "version": {VERSION},\n')
        out.write(f'"revision": {json.dumps(book_state.HEAD)},\n"tables": {{')
        for place, table in enumerate(tables()):
            names = json.dumps([column.name for column in table.columns])
            out.write(f"{',' if place else ''}\n{json.dumps(table.name)}: ")
            out.write(f'{{"columns": {names}, "rows": [')
            counts[table.name] = _write_rows(session, table, out.write)
            out.write("]}")
        out.write(f'\n}},\n"rows": {json.dumps(counts)}}}\n')
    return counts


def _write_rows(session: Session, table: Table, write: Callable[[str], object]) -> int:
    count = 0
    for row in plain_rows(session, table):
        write(f"{',' if count else ''}\n{json.dumps(row, ensure_ascii=False, allow_nan=False)}")
        count += 1
    return count


def _write_table(session: Session, table: Table, path: Path) -> None:
    with files.replacing(path) as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(column.name for column in table.columns)
        writer.writerows([harmless(cell) for cell in row] for row in plain_rows(session, table))


def _write_schema(path: Path) -> None:
    told = {
        "format": FORMAT,
        "version": VERSION,
        "revision": book_state.HEAD,
        "how": HOW,
        "tables": {table.name: described(table) for table in tables()},
    }
    with files.replacing(path) as out:
        json.dump(told, out, ensure_ascii=False, indent=1)
        out.write("\n")
