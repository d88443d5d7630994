"""Statements of one's own text, for what every line asks and writes.

A statement that SQLAlchemy puts together costs several times its answer, and a flush of rows more.
"""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.orm import Session

from logbook.store.tables.values import plain

PlainRow = Sequence[Any]
_CONNECTION = "connection"


def connection_of(session: Session) -> Connection:
    """The connection of a session that is used for one transaction only, asked for once."""
    held = session.info.get(_CONNECTION)
    if held is None:
        held = session.info[_CONNECTION] = session.connection()
    assert isinstance(held, Connection)
    return held


def first_row(session: Session, statement: str, *values: object) -> PlainRow | None:
    """The first row that a statement finds. What is not flushed yet is not seen."""
    return connection_of(session).exec_driver_sql(statement, values).first()


def insert_row(session: Session, table: str, values: Mapping[str, object]) -> int:
    """Insert one row; its id. No unit takes note of it."""
    given = tuple(plain(each) for each in values.values())
    return int(connection_of(session).exec_driver_sql(_insert(table, *values), given).lastrowid)


def insert_rows(session: Session, table: str, rows: Sequence[Mapping[str, object]]) -> None:
    """Insert rows that all have the same columns. No unit takes note of them."""
    given = [tuple(plain(each) for each in row.values()) for row in rows]
    connection_of(session).exec_driver_sql(_insert(table, *rows[0]), given)


@cache
def _insert(table: str, *names: str) -> str:
    columns, places = ", ".join(f'"{each}"' for each in names), ", ".join("?" * len(names))
    return f'INSERT INTO "{table}" ({columns}) VALUES ({places})'
