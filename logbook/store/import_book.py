"""A book made from an export: the same rows, or no book at all."""

import json
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Table, insert
from sqlalchemy.exc import IntegrityError

from logbook.errors import BadInput, NotWritten
from logbook.store import opening
from logbook.store.exchange.export import BOOK_FILE, FORMAT, VERSION
from logbook.store.file import book_state
from logbook.store.file.migrate import fill_with
from logbook.store.tables.values import tables, typed_value
from logbook.text import clean

_ROWS_AT_ONCE = 2000


def import_book(folder: Path, path: Path, *, say: Callable[[str], None] = book_state.unsaid) -> int:
    """Make the book that was exported to `folder` at `path`; how many rows it has.

    say -- gets words about what lay in the way and was moved aside.

    An export of an older program is taken too: what it doesn't have stays empty. Raises BadInput if
    the export is not whole or not sound, BookRefused if anything lies at `path`, NotWritten.
    """
    content = _read(folder)
    counts: list[int] = []

    def rows(connection: Connection) -> None:
        try:
            counts.extend(_fill(connection, table, content) for table in tables())
            _refuse_broken(connection)
        except BadInput as error:
            raise BadInput(
                f"No book was made. In {folder / BOOK_FILE}: {error}. Export the book again, or "
                "take an export that nobody changed."
            ) from error

    with opening.made_whole(path, say) as part:
        try:
            fill_with(part, book_state.APPLICATION_ID, rows)
        except NotWritten as error:
            why = getattr(error.__cause__, "orig", error.__cause__)
            raise NotWritten(
                f"No book was made at {path} ({why}): the disk may be full. Free some space there, "
                "or name another place, and import again."
            ) from error
    return sum(counts)


def _read(folder: Path) -> Mapping[str, Any]:
    path = folder / BOOK_FILE
    try:
        if path.exists() and not path.is_file():
            raise BadInput(f"{path} is no ordinary file: name the folder of an export.")
        content = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise BadInput(
            f"There is no {BOOK_FILE} in {folder}: name the folder that an export was written to."
        ) from error
    except OSError as error:
        raise BadInput(f"{path} cannot be read ({error.strerror}).") from error
    except (ValueError, RecursionError) as error:
        raise BadInput(f"{path} is not whole: export the book again ({error}).") from error
    if not isinstance(content, dict) or content.get("format") != FORMAT:
        raise BadInput(f"{path} is no export of this program.")
    if content.get("version") != VERSION or str(content.get("revision", "")) > book_state.HEAD:
        raise BadInput(f"{path} was written by a newer program: import it with that one.")
    found = content.get("tables")
    if not isinstance(found, dict):
        raise BadInput(f"{path} is not whole, it has no tables: export the book again.")
    _refuse_unknown(path, found)
    if content.get("revision") == book_state.HEAD:
        _refuse_incomplete(path, found, content.get("rows"))
    return found


def _refuse_unknown(path: Path, found: Mapping[str, Any]) -> None:
    unknown = sorted(set(found) - {table.name for table in tables()})
    if unknown:
        raise BadInput(
            f"{path} has a table this program doesn't know, {_shown(unknown[0])}: import it with "
            "the program that wrote it."
        )


def _refuse_incomplete(path: Path, found: Mapping[str, Any], counts: object) -> None:
    """An export of this very revision has every table and column, and as many rows as it says."""
    for table in tables():
        held = found.get(table.name)
        if not isinstance(held, dict):
            raise BadInput(f"{path} is not whole, {table.name} is missing: export the book again.")
        missing = [each.name for each in table.columns if each.name not in _listed(held, "columns")]
        if missing:
            raise BadInput(
                f"{path} is not whole, {table.name} has no {missing[0]}: export the book again."
            )
        rows = len(_listed(held, "rows"))
        if not isinstance(counts, dict) or counts.get(table.name) != rows:
            raise BadInput(
                f"{path} was changed: {table.name} has {rows} rows, not as many as were exported. "
                "Export the book again."
            )


def _listed(held: Mapping[str, Any], name: str) -> list[Any]:
    value = held.get(name)
    return value if isinstance(value, list) else []


def _fill(connection: Connection, table: Table, content: Mapping[str, Any]) -> int:
    held = content.get(table.name)
    if held is None:
        return 0
    rows = list(_rows(table, held))
    for first in range(0, len(rows), _ROWS_AT_ONCE):
        _insert(connection, table, rows[first : first + _ROWS_AT_ONCE])
    return len(rows)


def _insert(connection: Connection, table: Table, rows: list[dict[str, object]]) -> None:
    try:
        connection.execute(insert(table), rows)
    except IntegrityError as error:
        raise BadInput(f"table {table.name}: a row cannot be true ({error.orig})") from error


def _rows(table: Table, held: object) -> Iterator[dict[str, object]]:
    if not isinstance(held, dict) or not isinstance(held.get("rows"), list):
        raise BadInput(f"table {table.name} is not whole")
    names = held.get("columns")
    if not isinstance(names, list) or any(name not in table.columns for name in names):
        raise BadInput(f"table {table.name} has columns this program doesn't know")
    for place, row in enumerate(held["rows"], start=1):
        if not isinstance(row, list) or len(row) != len(names):
            raise BadInput(f"table {table.name}, row {place}: wanted {len(names)} values")
        try:
            yield {
                name: typed_value(table.columns[name], value)
                for name, value in zip(names, row, strict=True)
            }
        except BadInput as error:
            raise BadInput(f"table {table.name}, row {place}: {error}") from error


def _refuse_broken(connection: Connection) -> None:
    """A book must say which one it is, and each row must point at one that is there."""
    if connection.exec_driver_sql("SELECT count(*) FROM book").scalar() != 1:
        raise BadInput("it doesn't say which book it is")
    row = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if row is not None:
        raise BadInput(f"a row of {row[0]} points at one that is missing")


def _shown(name: object) -> str:
    return repr(clean(str(name), longest=60))
