"""What a job writes, noted row by row, so that one undo takes all of it back.

Rows that may change are noted as they were and as they became; of rows that are only ever added it
is enough to know which they are. Details (readings, values of a part, places in a train) go with
the row they belong to.
"""

import json
import uuid
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import event, inspect
from sqlalchemy.orm import Session
from sqlalchemy.orm.unitofwork import UOWTransaction

from logbook.records.entries import EntryRecord
from logbook.store.tables.models import Base, UnitChangeRow, UnitRow
from logbook.store.tables.plain_sql import insert_row, insert_rows
from logbook.store.tables.values import plain
from logbook.text import clean

WORDS_LENGTH = 400
_MAY_CHANGE = frozenset(
    {
        "choice",
        "former_name",
        "horizon_point",
        "limit_set",
        "night",
        "part",
        "project",
        "screw",
        "site",
        "train",
        "upkeep_rule",
    }
)
# Choices of how the program looks and where it looks for files: nothing that one takes back.
_OF_THE_PROGRAM = ("view", "frames folder")
_ONLY_ADDED = frozenset(
    {"entry", "part_revision", "running_order", "train_revision", "upkeep_snooze"}
)


@dataclass(frozen=True, slots=True)
class Change:
    """A row that was added, changed or deleted. Both None: added, and the row still says how."""

    table: str
    key: str
    before: str | None = None
    after: str | None = None
    id: int = 0  # of its row, once it is in the book

    @property
    def row_id(self) -> int:
        return int(self.key)


@dataclass(slots=True, eq=False)
class Unit:
    """What is written as one. `words` say what was saved; the first to name it stays.

    entries -- some of those that were added, as they may be read in the book now.
    """

    words: str = ""
    cause: str | None = None
    undoes_id: int | None = None
    changes: list[Change] = field(default_factory=list)
    entries: dict[int, EntryRecord] = field(default_factory=dict)

    def name(self, words: str) -> None:
        self.words = self.words or words


class UnitSession(Session):
    """A session that notes in its unit what it flushes."""

    def __init__(self, unit: Unit, **options: Any) -> None:
        super().__init__(expire_on_commit=False, **options)
        self.unit = unit


def name_unit(session: Session, words: str) -> None:
    """Say in words what is being saved, unless the whole job was named already."""
    assert isinstance(session, UnitSession)
    session.unit.name(words)


def keep_unit(session: UnitSession, run_uid: str, now: datetime) -> None:
    """Write down the unit beside its rows; one that changed nothing leaves nothing."""
    unit = session.unit
    if not unit.changes:
        return
    values = {
        "uid": str(uuid.uuid4()),
        "run_uid": run_uid,
        "made_utc": now,
        "words": clean(unit.words, longest=WORDS_LENGTH),
        "cause": unit.cause,
        "undoes_id": unit.undoes_id,
    }
    unit_id = insert_row(session, UnitRow.__tablename__, values)
    rows = [
        {
            "unit_id": unit_id,
            "table_name": each.table,
            "row_key": each.key,
            "before_json": each.before,
            "after_json": each.after,
        }
        for each in unit.changes
    ]
    insert_rows(session, UnitChangeRow.__tablename__, rows)


def note_added(session: UnitSession, row: Base) -> None:
    """Note a row that was added past a flush, of a table whose rows are only ever added."""
    assert table_of(row) in _ONLY_ADDED
    session.unit.changes.append(Change(table_of(row), str(_id(row))))


@event.listens_for(UnitSession, "after_flush")
def _note(session: UnitSession, _: UOWTransaction) -> None:
    session.unit.changes += [
        *_added(session.new),
        *(Change(table_of(row), _key(row), _was(row), _now(row)) for row in _changed(session)),
        *(Change(table_of(row), _key(row), _was(row)) for row in session.deleted if _counts(row)),
    ]


def _added(rows: Iterable[Any]) -> Iterator[Change]:
    """In the order in which they were written, so that an older row comes before a newer one."""
    found = [row for row in rows if _counts(row) or table_of(row) in _ONLY_ADDED]
    for row in sorted(found, key=lambda each: (table_of(each), _id(each))):
        after = _now(row) if _counts(row) else None
        yield Change(table_of(row), _key(row), None, after)


def _changed(session: Session) -> Iterator[Any]:
    for row in session.dirty:
        if _counts(row) and session.is_modified(row, include_collections=False):
            yield row


def _counts(row: Any) -> bool:
    if table_of(row) == "choice":
        return row.name not in _OF_THE_PROGRAM
    return table_of(row) in _MAY_CHANGE


def table_of(row: Base) -> str:
    return str(row.__tablename__)


def _id(row: Any) -> int:
    return getattr(row, "id", 0)


def _key(row: Any) -> str:
    (key,) = inspect(row).mapper.primary_key_from_instance(row)
    return str(key)


def _now(row: Any) -> str:
    return _json({name: getattr(row, name) for name in _columns(row)})


def _was(row: Any) -> str:
    state = inspect(row)
    values = {}
    for name in _columns(row):
        history = state.attrs[name].history
        assert history.deleted or not history.added, f"{name} was changed without being read"
        values[name] = history.deleted[0] if history.deleted else getattr(row, name)
    return _json(values)


def _columns(row: Any) -> list[str]:
    return [each.key for each in inspect(row).mapper.column_attrs]


def _json(values: dict[str, object]) -> str:
    return json.dumps({name: plain(value) for name, value in values.items()}, ensure_ascii=False)
