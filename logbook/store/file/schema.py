"""Whether a book has every table, column, index and trigger that the migrations make.

The migrations are run once more, into a book that is deleted at once: half a second.
"""

import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path

from logbook.store.file import book_state

_MAY_BE_DROPPED = "entry_words"  # the index of words; a search then reads the entries themselves


def schema_faults(connection: sqlite3.Connection) -> Iterator[str]:
    """What differs in a book from a new one of its revision, in words. Raises sqlite3.Error."""
    (revision,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    held, wanted = _schema_of(connection), _as_made(str(revision))
    has_index = any(name.startswith(f"table {_MAY_BE_DROPPED}") for name in held)
    for name, made in wanted.items():
        if _MAY_BE_DROPPED in name and not has_index:
            continue
        if name not in held:
            yield f"the {name} is missing"
        elif held[name] != made:
            yield f"the {name} is not as this program makes it"
    for name in held:
        if name.startswith("trigger ") and name not in wanted:
            yield f"the {name} is none of this program's"


def _as_made(revision: str) -> Mapping[str, object]:
    from logbook.store.file.migrate import fill_new_book  # with Alembic, which is slow to import

    with tempfile.TemporaryDirectory(prefix="logbook-") as folder:
        path = Path(folder) / "new.db"
        path.touch()
        fill_new_book(path, book_state.APPLICATION_ID, book_state.now_utc(), revision=revision)
        with closing(sqlite3.connect(path)) as connection:
            return _schema_of(connection)


def _schema_of(connection: sqlite3.Connection) -> Mapping[str, object]:
    """What each table, index and trigger is, by its kind and name, whatever its wording."""
    query = "SELECT type, name, sql FROM sqlite_master ORDER BY rowid"
    found: dict[str, object] = {}
    for kind, name, sql in connection.execute(query).fetchall():
        if kind == "table":
            found[f"table {name}"] = _table(connection, name)
        elif kind == "index":
            found[f"index {name}"] = _rows(connection, "index_xinfo", name)
        else:
            found[f"{kind} {name}"] = "".join(str(sql).split()).replace('"', "").lower()
    return found


def _table(connection: sqlite3.Connection, name: str) -> tuple[object, ...]:
    """Its columns without their places, which rows they point at, and what must be unique."""
    columns = sorted(row[1:] for row in _rows(connection, "table_xinfo", name))
    points_at = sorted(row[2:5] for row in _rows(connection, "foreign_key_list", name))
    unique = sorted(row[1:4] for row in _rows(connection, "index_list", name) if row[2])
    return columns, points_at, unique


def _rows(connection: sqlite3.Connection, pragma: str, name: str) -> list[tuple[object, ...]]:
    return connection.execute(f"SELECT * FROM pragma_{pragma}(?)", (name,)).fetchall()
