"""The rows of a book's tables as plain values, to write them out and to read them back.

Text, whole numbers, numbers, yes/no and nothing stand for themselves, as JSON has them. Instants
and dates are ISO 8601 text, instants in UTC ending in Z.
"""

import math
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import Boolean, Column, Date, Double, Float, Integer, String, Table, select
from sqlalchemy.orm import Session

from logbook.errors import BadInput
from logbook.store.tables.models import Base
from logbook.store.tables.utc_type import UtcDateTime
from logbook.text import clean, printable

Plain = str | int | float | bool | None


def tables() -> tuple[Table, ...]:
    """Every table of a book, one that is pointed at before those that point at it."""
    return tuple(Base.metadata.sorted_tables)


def plain_rows(session: Session, table: Table) -> Iterator[list[Plain]]:
    """The rows of a table in the order of its key, columns in the order of the table."""
    for row in session.execute(select(table).order_by(*table.primary_key.columns)):
        yield [plain(value) for value in row]


def plain(value: object) -> Plain:
    if isinstance(value, datetime):
        return value.replace(tzinfo=None).isoformat(timespec="microseconds") + "Z"
    if isinstance(value, date):
        return value.isoformat()
    assert value is None or isinstance(value, str | int | float | bool)
    return value


def typed_value(column: Column[object], value: object) -> object:
    """The value a column takes for a plain one. Raises BadInput if it can't be that column's."""
    if value is None:
        return None
    try:
        return _typed(column, value)
    except (ValueError, TypeError, OverflowError) as error:
        shown = clean(str(value), longest=60)
        raise BadInput(f"{shown!r} cannot be {kind_word(column)}") from error


def _typed(column: Column[object], value: object) -> object:
    kind = column.type
    if isinstance(kind, UtcDateTime):
        return _instant(_text(value))
    if isinstance(kind, Date):
        return date.fromisoformat(_text(value))
    if isinstance(kind, Boolean):
        return _of_kind(value, bool)
    if isinstance(kind, Integer):
        return _whole(value)
    if isinstance(kind, Float):
        return _number(value)
    return _string(_text(value), kind)


def _instant(text: str) -> datetime:
    instant = datetime.fromisoformat(text)
    if instant.tzinfo is None:
        raise ValueError("an instant without a time zone")
    return instant.astimezone(UTC)


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError("not text")
    return value


def _of_kind(value: object, kind: type) -> object:
    if type(value) is not kind:  # True is an int to isinstance
        raise TypeError(f"not {kind.__name__}")
    return value


def _whole(value: object) -> object:
    if isinstance(value, int) and abs(value) >= 2**63:
        raise ValueError("more than a book can hold")
    return _of_kind(value, int)


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("not a number")
    number = float(value)
    if not math.isfinite(number):
        raise ValueError("not finite")
    return number


def _string(text: str, kind: object) -> str:
    """Text without what a terminal would obey; a book never holds any, a changed export might."""
    text = printable(text)
    longest = kind.length if isinstance(kind, String) else None
    if longest is not None and len(text) > longest:
        raise ValueError("too long")
    return text


def kind_of(column: Any) -> type:
    """What a plain value of this column is: text, a whole number, a number or yes/no."""
    for kind, plain_type in ((Boolean, bool), (Integer, int), (Float, float)):
        if isinstance(column.type, kind):
            return plain_type
    return str


def kind_word(column: Column[object]) -> str:
    """What a column holds, in a word or two."""
    kind = column.type
    if isinstance(kind, UtcDateTime):
        return "an instant in UTC"
    if isinstance(kind, Date):
        return "a date"
    if isinstance(kind, Boolean):
        return "yes or no"
    if isinstance(kind, Integer):
        return "a whole number"
    if isinstance(kind, Float | Double):
        return "a number"
    return f"text of at most {kind.length} characters" if isinstance(kind, String) else "text"
