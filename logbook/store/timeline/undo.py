"""Entries taken back and done again. Nothing is erased: what a line had before is appended.

An entry that an undo or a redo appended stands for an earlier one, whose content it has.
"""

from datetime import datetime

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from logbook.records.entries import NewEntry
from logbook.store.tables import convert
from logbook.store.tables.models import EntryRow
from logbook.store.timeline import rows as timeline_rows
from logbook.store.timeline.rows import Cause, append, ids_of, stands_for


def in_night(night_id: int | None) -> ColumnElement[bool]:
    return EntryRow.night_id.is_(None) if night_id is None else EntryRow.night_id == night_id


def append_withdrawn(session: Session, old: EntryRow, cause: Cause, now: datetime) -> EntryRow:
    """Take a line out: an entry without content in its place."""
    gone = NewEntry("withdrawn", old.happened_utc, "")
    ids = timeline_rows.Ids(train_revision_id=old.train_revision_id)
    return append(session, old.night_id, gone, ids, now, cause)


def revert_entry(session: Session, entry_id: int, cause: str, now: datetime) -> bool:
    """Append what a line had before this entry; False if the line was changed since."""
    entry = timeline_rows.entry_row(session, entry_id)
    tip = _tip(session, entry)
    if stands_for(session, tip) is not stands_for(session, entry):
        return False
    because = Cause(cause, tip.id, entry.id)
    if entry.supersedes_id is None:
        append_withdrawn(session, tip, because, now)
        return True
    old = timeline_rows.entry_row(session, entry.supersedes_id)
    content = convert.content_of(old, None)
    append(session, old.night_id, content, ids_of(old), now, because)
    return True


def _tip(session: Session, entry: EntryRow) -> EntryRow:
    """The version of a line that stands now."""
    newer = select(EntryRow).where(EntryRow.supersedes_id == entry.id)
    found = session.scalars(newer).first()
    return entry if found is None else _tip(session, found)
