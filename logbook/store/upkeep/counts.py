"""What happened to a part since some work was done on it: nights, hours, cold, transport."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session

from logbook.records.upkeep_match import counts_for
from logbook.store.tables.models import (
    EntryRow,
    NightRow,
    PartRevisionRow,
    ReadingRow,
    TrainPartRow,
    UpkeepRow,
)
from logbook.store.timeline.night_sums import is_current, night_stands

_AIR = "air_temperature_c"


@dataclass(frozen=True, slots=True)
class Since:
    """From when to when is counted."""

    begun_utc: datetime
    at_utc: datetime

    @property
    def months(self) -> float:
        """Calendar months, and the share of the last one begun (a month is 30.4 days there)."""
        begun, at = self.begun_utc, self.at_utc
        whole = (at.year - begun.year) * 12 + at.month - begun.month
        return max(0.0, whole + (at.day - begun.day) / 30.4)


@dataclass(frozen=True, slots=True)
class Use:
    """What happened since. `step_c` is None where no temperature was logged before and after."""

    nights: int
    hours: float
    transports: int
    step_c: float | None


def last_done(
    session: Session, part_id: int | None, action: str, at_utc: datetime
) -> datetime | None:
    """When the work was logged last."""
    statement = (
        select(EntryRow.happened_utc, UpkeepRow.action)
        .join(UpkeepRow, UpkeepRow.entry_id == EntryRow.id)
        .where(is_current(), EntryRow.happened_utc <= at_utc)
        .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
    )
    if part_id is not None:
        statement = statement.where(UpkeepRow.part_id == part_id)
    done = session.execute(statement)
    return next((happened for happened, words in done if counts_for(action, words)), None)


def since_then(session: Session, part_id: int | None, since: Since) -> Use:
    """What happened to a part; for None, to the telescope whatever it carried."""
    statement = select(NightRow.id, NightRow.started_utc, NightRow.ended_utc).where(
        NightRow.started_utc > since.begun_utc,
        NightRow.started_utc <= since.at_utc,
        night_stands(),
    )
    if part_id is not None:
        statement = statement.where(_held(part_id))
    spans = session.execute(statement).all()
    hours = sum(_hours(session, *span) for span in spans)
    return Use(len(spans), hours, _transports(session, since), _step_c(session, since))


def _held(part_id: int) -> ColumnElement[bool]:
    """Nights begun with a train that held the part, or changed to one."""
    revisions = (
        select(TrainPartRow.train_revision_id)
        .join(PartRevisionRow, PartRevisionRow.id == TrainPartRow.part_revision_id)
        .where(PartRevisionRow.part_id == part_id)
    )
    changed = select(EntryRow.night_id).where(
        EntryRow.kind == "kit", EntryRow.train_revision_id.in_(revisions), is_current()
    )
    return or_(NightRow.train_revision_id.in_(revisions), NightRow.id.in_(changed))


def _hours(session: Session, night_id: int, started: datetime, ended: datetime | None) -> float:
    """Of a night still open, up to its last entry."""
    if ended is None:
        last = select(func.max(EntryRow.happened_utc)).where(EntryRow.night_id == night_id)
        ended = session.scalar(last) or started
    return max(0.0, (ended - started).total_seconds() / 3600)


def _transports(session: Session, since: Since) -> int:
    statement = select(func.count()).where(
        EntryRow.kind == "transport",
        EntryRow.happened_utc > since.begun_utc,
        EntryRow.happened_utc <= since.at_utc,
        is_current(),
    )
    return session.scalar(statement) or 0


def _step_c(session: Session, since: Since) -> float | None:
    """How far the air now is from what it was when the work was done."""
    then = _air_c(session, since.begun_utc)
    now = _air_c(session, since.at_utc)
    return None if then is None or now is None else abs(now - then)


def _air_c(session: Session, at_utc: datetime) -> float | None:
    """The air temperature read last before that.

    The quantity is not asked for as the bare column: else every reading of it is gone through.
    """
    statement = (
        select(ReadingRow.number)
        .join(EntryRow, EntryRow.id == ReadingRow.entry_id)
        .where(
            ReadingRow.quantity.concat("") == _AIR, EntryRow.happened_utc <= at_utc, is_current()
        )
        .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
        .limit(1)
    )
    return session.scalar(statement)
