"""Taking back what was saved last, whole, and doing it again.

What this run of the program saved is taken back at once; anything older is named, so that the
program may ask first. A unit that was undone or redone is found from the units alone, so a restart
forgets nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, Select, and_, func, or_, select
from sqlalchemy.orm import Session, aliased

from logbook.errors import NotWritten
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import Change, UnitSession
from logbook.store.tables.models import EntryRow, UnitChangeRow, UnitRow
from logbook.store.timeline.unit_words import entry_words
from logbook.store.undo.revert import revert


@dataclass(frozen=True, slots=True)
class Step:
    """Something saved that may be taken back.

    own -- whether this run of the program saved it.
    unit_id -- None for an entry saved before books knew units; `entry_id` is that entry then.
    """

    words: str
    made_utc: datetime
    own: bool
    unit_id: int | None
    entry_id: int | None = None


class Units:
    """What was saved, unit by unit, newest first."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def last(self) -> Step | None:
        """What would be taken back next: of this run if it saved anything, else the last of all."""
        with self._sessions.reading() as session:
            return self._last(session)

    def take_back(self, step: Step | None = None) -> str | None:
        """Take back the last thing saved; its words, or None if there is none.

        step -- what was asked about. Raises NotWritten if that is not the last any more, or if
        something of it was changed since.
        """
        with self._sessions.writing() as session:
            found = self._last(session)
            if step is not None and found != step:
                raise NotWritten("Not taken back: something else was saved since. Press F8 again.")
            if found is None:
                return None
            self._revert(session, found, "undo")
            return found.words

    def do_again(self) -> str | None:
        """Do again what was taken back last; its words. None if nothing was, or if something was
        saved since."""
        with self._sessions.writing() as session:
            undone = session.scalars(self._to_do_again(session)).first()
            if undone is None:
                return None
            step = Step(undone.words, undone.made_utc, True, undone.id)
            self._revert(session, step, "redo")
            return step.words

    def _last(self, session: Session) -> Step | None:
        own = session.scalars(_standing(UnitRow.run_uid == self._sessions.run_uid)).first()
        row = own or session.scalars(_standing()).first()
        if row is not None:
            return Step(row.words, row.made_utc, own is not None, row.id)
        entry = _before_units(session)
        if entry is None:
            return None
        words = entry_words(session, entry)
        return Step(words, entry.recorded_utc, False, None, entry.id)

    def _revert(self, session: UnitSession, step: Step, cause: str) -> None:
        """Within the session's unit, which becomes the undoing of the other."""
        unit = session.unit
        unit.words, unit.cause, unit.undoes_id = step.words, cause, step.unit_id
        if step.unit_id is None:
            changes = [Change("entry", str(step.entry_id))]
        else:
            changes = _changes(session, step.unit_id)
        revert(session, changes, cause, self._clock())

    def _to_do_again(self, session: Session) -> Select[UnitRow]:
        """The newest undoing, if nothing was saved after it."""
        run = UnitRow.run_uid == self._sessions.run_uid
        if session.scalar(select(UnitRow.id).where(run).limit(1)) is None:
            run = UnitRow.id > 0
        newest = select(func.max(UnitRow.id)).where(run, UnitRow.cause.is_(None))
        saved_last = session.scalar(newest) or 0
        statement = select(UnitRow).where(
            run, UnitRow.cause == "undo", UnitRow.id > saved_last, _not_in("redo")
        )
        return statement.order_by(UnitRow.id.desc()).limit(1)


def _standing(*more: ColumnElement[bool]) -> Select[UnitRow]:
    """The newest unit that was not taken back."""
    done = or_(UnitRow.cause.is_(None), UnitRow.cause == "redo")
    return select(UnitRow).where(done, _not_in("undo"), *more).order_by(UnitRow.id.desc()).limit(1)


def _not_in(cause: str) -> ColumnElement[bool]:
    """Units that no other one undoes, or does again."""
    other = aliased(UnitRow)
    named = select(other.undoes_id).where(other.cause == cause, other.undoes_id.is_not(None))
    return UnitRow.id.not_in(named)


def _changes(session: Session, unit_id: int) -> list[Change]:
    rows = session.scalars(select(UnitChangeRow).where(UnitChangeRow.unit_id == unit_id))
    return [
        Change(row.table_name, row.row_key, row.before_json, row.after_json, row.id) for row in rows
    ]


def _before_units(session: Session) -> EntryRow | None:
    """The last thing done to an entry in a book of an older program."""
    first = session.scalar(
        select(UnitChangeRow.row_key)
        .where(UnitChangeRow.table_name == "entry")
        .order_by(UnitChangeRow.id)
        .limit(1)
    )
    older = EntryRow.id < int(first) if first is not None else EntryRow.id > 0
    undone = aliased(EntryRow)
    gone = select(undone.undoes_id).where(undone.cause == "undo", undone.undoes_id.is_not(None))
    done = or_(EntryRow.cause.is_(None), EntryRow.cause != "undo")
    statement = select(EntryRow).where(and_(older, done), EntryRow.id.not_in(gone))
    return session.scalars(statement.order_by(EntryRow.id.desc()).limit(1)).first()
