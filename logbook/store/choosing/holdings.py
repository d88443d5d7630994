"""What a book holds of the objects in it: hours by filter, nights, when last."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from logbook.records.choosing import Held
from logbook.store.session.sessions import Sessions
from logbook.store.tables.convert import target_of
from logbook.store.tables.former_names import filter_bearers, filter_column
from logbook.store.tables.models import EntryRow, FramesRow, NightRow, TargetRow
from logbook.store.timeline.night_sums import is_current


class Holdings:
    """Counts over all entries. 20 years of them take part of a second: ask from a worker thread.

    The counts stay cached until an entry is added or a filter is renamed: entries never change, so
    nothing else can outdate them.
    """

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions
        self._kept: tuple[object, dict[str, Held]] | None = None

    def all(self) -> dict[str, Held]:
        """What is held of every object that was ever started or exposed, by catalogue id."""
        with self._sessions.reading() as session:
            newest = session.scalar(select(func.max(EntryRow.id))) or 0
            mark = newest, filter_bearers(session)
            kept = self._kept
            if kept is None or kept[0] != mark:
                kept = self._kept = (mark, _held(session, EntryRow.target_id.is_not(None)))
        return kept[1]

    def of(self, catalogue_id: str) -> Held | None:
        """What is held of one object; None if it was never started or exposed."""
        with self._sessions.reading() as session:
            target_id = session.scalar(
                select(TargetRow.id).where(TargetRow.catalogue_id == catalogue_id)
            )
            if target_id is None:
                return None
            return _held(session, EntryRow.target_id == target_id).get(catalogue_id)


@dataclass(frozen=True, slots=True)
class _Times:
    nights: int
    first_date: date
    last_date: date


def _held(session: Session, chosen: ColumnElement[bool]) -> dict[str, Held]:
    times = _times(session, chosen)
    exposed = _exposed(session, chosen)
    targets = session.scalars(select(TargetRow).where(TargetRow.id.in_(times)))
    found = {}
    for row in targets:
        filters = exposed.get(row.id, {})
        when = times[row.id]
        found[row.catalogue_id] = Held(
            target=target_of(row),
            frames=sum(frames for frames, _ in filters.values()),
            hours_by_filter=tuple((name, seconds / 3600) for name, (_, seconds) in filters.items()),
            nights=when.nights,
            first_date=when.first_date,
            last_date=when.last_date,
        )
    return found


def _times(session: Session, chosen: ColumnElement[bool]) -> dict[int, _Times]:
    statement = (
        select(
            EntryRow.target_id,
            func.count(EntryRow.night_id.distinct()),
            func.min(NightRow.local_date),
            func.max(NightRow.local_date),
        )
        .join(NightRow, NightRow.id == EntryRow.night_id)
        .where(chosen, is_current())
        .group_by(EntryRow.target_id)
    )
    return {
        target_id: _Times(nights, first_date, last_date)
        for target_id, nights, first_date, last_date in session.execute(statement)
        if target_id is not None
    }


def _exposed(
    session: Session, chosen: ColumnElement[bool]
) -> dict[int, dict[str | None, tuple[int, float]]]:
    """Frames and seconds by target and filter."""
    filter_name = filter_column(session)
    statement = (
        select(
            EntryRow.target_id,
            filter_name,
            func.sum(FramesRow.count),
            func.sum(FramesRow.count * FramesRow.exposure_s),
        )
        .join(FramesRow, FramesRow.entry_id == EntryRow.id)
        .where(chosen, is_current(), FramesRow.frame_type == "light")
        .group_by(EntryRow.target_id, filter_name)
        .order_by(EntryRow.target_id, filter_name)
    )
    found: dict[int, dict[str | None, tuple[int, float]]] = {}
    for target_id, name, frames, seconds in session.execute(statement):
        if target_id is not None:
            found.setdefault(target_id, {})[name] = (int(frames), float(seconds))
    return found
