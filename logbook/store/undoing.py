"""Undo and redo of a night's actions, found from the entries alone, so that a restart forgets none.

An action is an entry first written, corrected or withdrawn. Undoing one appends what the line had
before it; redoing appends what the line had after it. Nothing is taken away.
"""

from collections.abc import Callable
from datetime import datetime

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session, aliased

from logbook.store import rows, timeline_rows
from logbook.store.models import EntryRow
from logbook.store.records import NewEntry
from logbook.store.timeline_rows import Cause, append, ids_of

Step = Callable[[Session, int | None, datetime], EntryRow | None]


def in_night(night_id: int | None) -> ColumnElement[bool]:
    return _of(EntryRow, night_id)


def undo(session: Session, night_id: int | None, now: datetime) -> EntryRow | None:
    done, _ = _stacks(session, night_id)
    if not done:
        return None
    action = timeline_rows.entry_row(session, done[-1])
    cause = Cause("undo", _tip(session, action), action.id)
    if action.supersedes_id is None:
        return append_withdrawn(session, action, cause, now)
    return _append_again(session, action.supersedes_id, cause, now)


def redo(session: Session, night_id: int | None, now: datetime) -> EntryRow | None:
    _, undone = _stacks(session, night_id)
    if not undone:
        return None
    undoing = timeline_rows.entry_row(session, undone[-1])
    assert undoing.undoes_id is not None
    cause = Cause("redo", _tip(session, undoing), undoing.id)
    return _append_again(session, undoing.undoes_id, cause, now)


def append_withdrawn(session: Session, old: EntryRow, cause: Cause, now: datetime) -> EntryRow:
    """Take a line out: an entry without content in its place."""
    gone = NewEntry("withdrawn", old.happened_utc, "")
    ids = timeline_rows.Ids(train_revision_id=old.train_revision_id)
    return append(session, old.night_id, gone, ids, now, cause)


def _append_again(session: Session, entry_id: int, cause: Cause, now: datetime) -> EntryRow:
    """Append what an earlier version of a line held."""
    old = timeline_rows.entry_row(session, entry_id)
    content = rows.content_of(old, None)
    return append(session, old.night_id, content, ids_of(old), now, cause)


def _stacks(session: Session, night_id: int | None) -> tuple[list[int], list[int]]:
    """Entry ids of the actions done, and of the undoings that may be redone; newest last."""
    done: list[int] = []
    undone: list[int] = []
    for entry_id, cause in _acts(session, night_id):
        if cause == "undo":
            done.pop()
            undone.append(entry_id)
        elif cause == "redo":
            undone.pop()
            done.append(entry_id)
        else:
            done.append(entry_id)
            undone.clear()
    return done, undone


def _acts(session: Session, night_id: int | None) -> list[tuple[int, str | None]]:
    """What was done in a night, undoing and redoing included, as (entry id, cause), oldest first.

    An entry that was moved to another night was moved in the night that it left.
    """
    acts = _first_acts(session, night_id)
    if not acts:
        return []
    later = (
        select(EntryRow.id, EntryRow.cause, EntryRow.undoes_id)
        .where(EntryRow.id > min(acts), EntryRow.undoes_id.is_not(None))
        .order_by(EntryRow.id)
    )
    for entry_id, cause, undoes_id in session.execute(later):
        if undoes_id in acts:
            acts[entry_id] = cause
    return sorted(acts.items())


def _first_acts(session: Session, night_id: int | None) -> dict[int, str | None]:
    """Entries first written, corrected or withdrawn in a night, with why."""
    old = aliased(EntryRow)
    columns = select(EntryRow.id, EntryRow.cause, EntryRow.night_id, old.id, old.night_id)
    here = columns.outerjoin(old, old.id == EntryRow.supersedes_id).where(in_night(night_id))
    left = columns.join(old, old.id == EntryRow.supersedes_id).where(_of(old, night_id))
    acts: dict[int, str | None] = {}
    for statement in (here, left):
        found = session.execute(statement.where(EntryRow.undoes_id.is_(None)))
        acts |= {
            entry_id: cause
            for entry_id, cause, where, old_id, old_where in found
            if (where if old_id is None else old_where) == night_id
        }
    return acts


def _of(row: type[EntryRow], night_id: int | None) -> ColumnElement[bool]:
    return row.night_id.is_(None) if night_id is None else row.night_id == night_id


def _tip(session: Session, row: EntryRow) -> int:
    """The id of the version of a line that stands now."""
    tip = row.id
    while True:
        newer = session.scalar(select(EntryRow.id).where(EntryRow.supersedes_id == tip))
        if newer is None:
            return tip
        tip = newer
