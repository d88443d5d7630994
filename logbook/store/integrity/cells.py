"""Whether every cell of a book can be read as what it is: a text, a number, a time, a date.

SQLite does not ask this of a time, which is text to it, nor whether text is text.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import date, datetime
from itertools import chain, islice
from pathlib import Path

from sqlalchemy import Boolean, Column, Date, Float, Integer, Table
from sqlalchemy.dialects.sqlite import dialect as sqlite_dialect

from logbook.store.file import book_state, sqlite
from logbook.store.file.integrity import damage
from logbook.store.file.readable_copy import ReadablePlace
from logbook.store.tables.models import Base
from logbook.store.tables.utc_type import UtcDateTime

_MOST_OF_A_TABLE = 5
_DIALECT = sqlite_dialect()
# What a column holds by its type, the first that fits, and what that is called.
_KINDS: tuple[tuple[type, type | tuple[type, ...], str], ...] = (
    (UtcDateTime, datetime, "time"),
    (Date, date, "date"),
    (Boolean, bool, "yes or no"),
    (Integer, int, "whole number"),
    (Float, (int, float), "number"),
)


@dataclass(frozen=True, slots=True)
class _Cell:
    """How a column is read, and what must come of it."""

    column: str
    nullable: bool
    read: Callable[[object], object] | None
    kind: type | tuple[type, ...]
    called: str

    def is_sound(self, held: object) -> bool:
        if held is None:
            return self.nullable
        try:
            value = held.decode() if isinstance(held, bytes) else held
            value = self.read(value) if self.read is not None else value
        except (ValueError, TypeError, AssertionError):
            return False
        is_naive = isinstance(value, datetime) and value.tzinfo is None
        return isinstance(value, self.kind) and not is_naive


def unreadable_cells(connection: sqlite3.Connection) -> Iterator[str]:
    """What cannot be read in a book of this revision, in words that name table and row."""
    connection.text_factory = bytes
    try:
        for table in Base.metadata.sorted_tables:
            yield from islice(_in_table(connection, table), _MOST_OF_A_TABLE)
    finally:
        connection.text_factory = str


def damage_at(path: Path) -> str:
    """How the book at `path` is damaged, in words that say what to do; "" if it is not. Slow.

    Asked when something failed for no known reason: a damaged book may be why.
    """
    state = book_state.look(path)
    if state.condition is book_state.Condition.DAMAGED or not state.opens:
        return state.words if state.condition is book_state.Condition.DAMAGED else ""
    try:
        with ReadablePlace.left_alone(path) as place, closing(place.connect()) as connection:
            is_current = state.condition is book_state.Condition.CURRENT
            cells = unreadable_cells(connection) if is_current else ()
            found = next(chain(damage(connection), cells), "")
    except (sqlite3.Error, UnicodeDecodeError) as error:
        found = str(error) if sqlite.is_damage(error) else ""
    except OSError:
        return ""
    return book_state.damaged_words(path, found) if found else ""


def _in_table(connection: sqlite3.Connection, table: Table) -> Iterator[str]:
    cells = [_cell_of(each) for each in table.columns]
    keys = [each.name for each in table.primary_key.columns]
    places = [table.columns.keys().index(key) for key in keys]
    names = ", ".join(f'"{each.column}"' for each in cells)
    for row in connection.execute(f'SELECT {names} FROM "{table.name}"'):
        for cell, held in zip(cells, row, strict=True):
            if not cell.is_sound(held):
                key = ", ".join(_shown(row[place]) for place in places)
                yield (
                    f"table {table.name}, row {key}: {cell.column} holds {_shown(held)}, "
                    f"which is no {cell.called}"
                )


def _cell_of(column: "Column[object]") -> _Cell:
    read = column.type.dialect_impl(_DIALECT).result_processor(_DIALECT, None)
    found = ((kind, called) for of, kind, called in _KINDS if isinstance(column.type, of))
    kind, called = next(found, (str, "text"))
    return _Cell(column.name, bool(column.nullable), read, kind, called)


def _shown(held: object) -> str:
    """On one line, whatever it is."""
    return ascii(held.decode(errors="replace") if isinstance(held, bytes) else held)[:60]
