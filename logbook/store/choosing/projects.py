"""Projects: hours wanted of an object through a filter, and how many are still owed."""

import uuid
from collections.abc import Callable
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.errors import BadInput, NotFound
from logbook.records import checks
from logbook.records.check_entry import checked_target
from logbook.records.choosing import Held, ProjectRecord
from logbook.records.entries import TargetCopy
from logbook.store.choosing.holdings import Holdings
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import name_unit
from logbook.store.tables.convert import target_of
from logbook.store.tables.models import ProjectRow, TargetRow
from logbook.store.timeline.rows import target_row
from logbook.text import fold

MOST_HOURS = 10_000.0


class Projects:
    """The projects of a book. One is retired, never deleted."""

    def __init__(
        self, sessions: Sessions, clock: Callable[[], datetime], holdings: Holdings
    ) -> None:
        self._sessions = sessions
        self._clock = clock
        self._holdings = holdings

    def all(self) -> tuple[ProjectRecord, ...]:
        """Every standing project, the one that is owed most first. Counts: see `Holdings`."""
        held = self._holdings.all()
        with self._sessions.reading() as session:
            found = [_record(session, row, held) for row in _standing(session)]
        return tuple(sorted(found, key=lambda each: (-each.owed_hours, each.target.name)))

    def add(
        self, target: TargetCopy, filter_name: str | None, wanted_hours: float, note: str = ""
    ) -> int:
        """Keep a new project; its id. Raises BadInput, also if there is one of that already."""
        checked = checked_target(target)
        values = _checked(filter_name, wanted_hours, note)
        with self._sessions.writing(f"the project {checked.name}") as session:
            now = self._clock()
            kept = target_row(session, checked, now)
            session.flush()
            _refuse_second(session, kept, values[0])
            row = ProjectRow(uid=str(uuid.uuid4()), target_id=kept.id, created_utc=now)
            row.filter_name, row.wanted_hours, row.note = values
            session.add(row)
            session.flush()
            return row.id

    def revise(
        self, project_id: int, filter_name: str | None, wanted_hours: float, note: str = ""
    ) -> None:
        """Want another number of hours, or another filter. Raises BadInput, NotFound."""
        values = _checked(filter_name, wanted_hours, note)
        with self._sessions.writing() as session:
            row = _row(session, project_id)
            target = session.get_one(TargetRow, row.target_id)
            name_unit(session, f"the change of the project {target.name}")
            _refuse_second(session, target, values[0], besides=row.id)
            row.filter_name, row.wanted_hours, row.note = values

    def retire(self, project_id: int) -> None:
        """Leave a project out of the list from now on; its frames stay in the book."""
        with self._sessions.writing() as session:
            row = _row(session, project_id)
            row.retired_utc = self._clock()
            target = session.get_one(TargetRow, row.target_id)
            name_unit(session, f"the retirement of the project {target.name}")


def _checked(
    filter_name: str | None, wanted_hours: float, note: str
) -> tuple[str | None, float, str]:
    hours = checks.number(wanted_hours, "the wanted time", 0.0, MOST_HOURS, "hours")
    if hours == 0.0:
        raise BadInput("a project wants more than no time at all")
    name = checks.maybe_line(filter_name, "the filter's name", 40)
    return name, hours, checks.line(note, "the note", 4000)


def _standing(session: Session) -> list[ProjectRow]:
    statement = select(ProjectRow).where(ProjectRow.retired_utc.is_(None)).order_by(ProjectRow.id)
    return list(session.scalars(statement))


def _row(session: Session, project_id: int) -> ProjectRow:
    row = session.get(ProjectRow, project_id)
    if row is None or row.retired_utc is not None:
        raise NotFound(f"There is no project number {project_id}.")
    return row


def _refuse_second(
    session: Session, target: TargetRow, filter_name: str | None, *, besides: int | None = None
) -> None:
    for row in _standing(session):
        same = row.target_id == target.id and row.id != besides
        if same and fold(row.filter_name or "") == fold(filter_name or ""):
            through = f"through {filter_name}" if filter_name else "through any filter"
            raise BadInput(f"There is a project for {target.name} {through} already: change it.")


def _record(session: Session, row: ProjectRow, held: dict[str, Held]) -> ProjectRecord:
    target = target_of(session.get_one(TargetRow, row.target_id))
    found = held.get(target.catalogue_id)
    return ProjectRecord(
        id=row.id,
        uid=row.uid,
        target=target,
        filter_name=row.filter_name,
        wanted_hours=row.wanted_hours,
        note=row.note,
        held_hours=found.hours_through(row.filter_name) if found else 0.0,
        last_date=found.last_date if found else None,
    )
