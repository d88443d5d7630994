"""Named sets of limits, one for each kind of work; the program's own are where a book begins."""

import uuid
from collections.abc import Callable
from datetime import datetime
from typing import Final

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from logbook.errors import BadInput, NotFound
from logbook.records import checks
from logbook.records.choosing import LimitSetRecord
from logbook.records.names import Named, TakenNames
from logbook.sky.limits.limits import Limits
from logbook.sky.limits.limits_parser import limits_from_json, limits_to_json
from logbook.sky.limits.presets import PRESETS
from logbook.store.session.sessions import Sessions
from logbook.store.tables.models import LimitSetRow
from logbook.text import clean, fold

NAME_LENGTH = 120
_WHAT: Final = "set"


class LimitSets:
    """A book that has no set of its own shows the program's; the first change copies them all in.

    A set is retired, never deleted.
    """

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def all(self) -> tuple[LimitSetRecord, ...]:
        """The sets, in the order in which they were first saved."""
        with self._sessions.reading() as session:
            if _is_empty(session):
                return tuple(LimitSetRecord(None, each.name, each.limits) for each in PRESETS)
            rows = select(LimitSetRow).where(LimitSetRow.retired_utc.is_(None))
            return tuple(_record(row) for row in session.scalars(rows.order_by(LimitSetRow.id)))

    def named(self, name: str) -> LimitSetRecord:
        """The set of that name, in any case. Raises NotFound naming the sets there are."""
        known = self.all()
        for each in known:
            if fold(each.name) == fold(name):
                return each
        names = ", ".join(each.name for each in known) or "none"
        raise NotFound(f"There is no set of limits {clean(name, longest=60)!r}. Sets: {names}")

    def names(self) -> TakenNames:
        """The names that sets bear, retired ones too; those that the book has no copy of yet."""
        with self._sessions.reading() as session:
            found = _names(session)
        presets = (Named(None, each.name) for each in PRESETS)
        return found if found.bearers else TakenNames.of(_WHAT, presets)

    def keep(self, name: str, limits: Limits) -> LimitSetRecord:
        """Keep limits under a name: a new set, or other limits for the one of that name."""
        checked = checks.line(name, "the set's name", NAME_LENGTH, wanted=True)
        with self._sessions.writing(f"the set of limits {checked}") as session:
            now = self._clock()
            _copy_presets(session, now)
            row = _find(session, checked)
            if row is None:
                row = LimitSetRow(uid=str(uuid.uuid4()), name=checked, created_utc=now)
                session.add(row)
            row.limits_json, row.retired_utc = limits_to_json(limits), None
            session.flush()
            return _record(row)

    def rename(self, name: str, new_name: str) -> LimitSetRecord:
        """Call a set something else. Raises BadInput for a name taken, NotFound."""
        checked = checks.line(new_name, "the set's name", NAME_LENGTH, wanted=True)
        with self._sessions.writing(f"the new name of the set of limits {checked}") as session:
            _copy_presets(session, self._clock())
            row = _standing(session, name)
            _names(session).besides(row.id).refuse(checked)
            row.name = checked
            session.flush()
            return _record(row)

    def retire(self, name: str) -> None:
        """Leave a set out of the list from now on. Raises NotFound."""
        with self._sessions.writing(f"the retirement of the set of limits {name}") as session:
            now = self._clock()
            _copy_presets(session, now)
            _standing(session, name).retired_utc = now


def _is_empty(session: Session) -> bool:
    return not session.scalar(select(func.count()).select_from(LimitSetRow))


def _copy_presets(session: Session, now: datetime) -> None:
    """Past the session's notes: they say what was shown before, so an undo leaves them."""
    if not _is_empty(session):
        return
    rows = [
        {
            "uid": str(uuid.uuid4()),
            "name": each.name,
            "limits_json": limits_to_json(each.limits),
            "created_utc": now,
        }
        for each in PRESETS
    ]
    session.execute(insert(LimitSetRow), rows)


def _names(session: Session) -> TakenNames:
    rows = session.execute(select(LimitSetRow.id, LimitSetRow.name, LimitSetRow.retired_utc))
    return TakenNames.of(_WHAT, (Named(*row[:2], row[2] is not None) for row in rows))


def _find(session: Session, name: str) -> LimitSetRow | None:
    rows = session.scalars(select(LimitSetRow))
    return next((row for row in rows if fold(row.name) == fold(name)), None)


def _standing(session: Session, name: str) -> LimitSetRow:
    row = _find(session, name)
    if row is None or row.retired_utc is not None:
        raise NotFound(f"There is no set of limits {clean(name, longest=60)!r}.")
    return row


def _record(row: LimitSetRow) -> LimitSetRecord:
    try:
        limits = limits_from_json(row.limits_json)
    except BadInput:
        return LimitSetRecord(row.id, row.name, None)
    return LimitSetRecord(row.id, row.name, limits)
