"""Nights: by site and the local date of the evening."""

import uuid
from collections.abc import Callable, Collection, Iterable
from dataclasses import replace
from datetime import date, datetime

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session, joinedload

from logbook.errors import BadInput, NotFound
from logbook.records import checks
from logbook.records.entries import NewEntry, NightRecord, NightSummary, OpenNight, TrainRecord
from logbook.sky.night.clock import night_date, zone_of
from logbook.store.kit import trains
from logbook.store.kit.sites import site_row
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import name_unit
from logbook.store.tables.convert import site_of, train_record
from logbook.store.tables.models import EntryRow, NightRow, TrainRevisionRow
from logbook.store.timeline import rows as timeline_rows
from logbook.store.timeline.night_sums import night_stands, summaries_of

_OPEN_NOW = (
    "SELECT id, local_date, time_zone FROM night WHERE ended_utc IS NULL "
    "ORDER BY local_date DESC, started_utc DESC LIMIT 1"
)


class Nights:
    """The nights of a book. Of a night that was started only its end may change."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def start(
        self,
        site_id: int,
        train_id: int | None,
        observer: str,
        started_utc: datetime,
    ) -> NightRecord:
        """Start a night, or take up again the one this site has on that local date.

        A night taken up with another train gets an entry that says so. A night forgotten open
        elsewhere is ended at its last entry. Raises BadInput, NotFound.
        """
        started = checks.instant(started_utc, "the start of the night")
        name = checks.line(observer, "the observer's name", 120)
        with self._sessions.writing() as session:
            site = site_row(session, site_id)
            local_date = night_date(started, zone_of(site.time_zone))
            name_unit(session, f"the start of the night of {local_date.isoformat()}")
            row = session.scalars(_found(local_date, site_id)).first()
            _end_forgotten(session, besides=row)
            train = None if train_id is None else trains.in_use_at(session, train_id, started)
            if row is None:
                row = NightRow(
                    uid=str(uuid.uuid4()),
                    local_date=local_date,
                    site=site,
                    time_zone=site.time_zone,
                    train_revision_id=None if train is None else train.id,
                    observer=name,
                    started_utc=started,
                )
                session.add(row)
                session.flush()
            else:
                row.ended_utc = None
                _note_other_train(session, row, train, started, self._clock())
            return _records(session, [row])[0]

    def end(self, night_id: int, at_utc: datetime) -> NightRecord:
        """End a night. Raises BadInput if that is before its start."""
        ended = checks.instant(at_utc, "the end of the night")
        with self._sessions.writing() as session:
            row = night_row(session, night_id)
            if ended < row.started_utc:
                raise BadInput("a night cannot end before it started")
            row.ended_utc = ended
            name_unit(session, f"the end of the night of {row.local_date.isoformat()}")
            session.flush()
            return _records(session, [row])[0]

    def in_progress(self) -> NightRecord | None:
        """The night that was started and not ended."""
        with self._sessions.reading() as session:
            open_ones = _newest_first().where(NightRow.ended_utc.is_(None))
            row = session.scalars(open_ones.limit(1)).first()
            return None if row is None else _records(session, [row])[0]

    def open_now(self) -> OpenNight | None:
        """Of the night in progress what a line needs to know, without its site and train."""
        row = self._sessions.first_row(_OPEN_NOW)
        return None if row is None else OpenNight(row[0], date.fromisoformat(row[1]), row[2])

    def get(self, night_id: int) -> NightRecord:
        with self._sessions.reading() as session:
            return _records(session, [night_row(session, night_id)])[0]

    def latest(self) -> NightRecord | None:
        """The night of the newest date, so that a next one may propose its site and train."""
        with self._sessions.reading() as session:
            row = session.scalars(_newest_first().where(night_stands()).limit(1)).first()
            return None if row is None else _records(session, [row])[0]

    def count(self) -> int:
        """How many nights the book has."""
        with self._sessions.reading() as session:
            counted = select(func.count()).select_from(NightRow).where(night_stands())
            return session.scalar(counted) or 0

    def on(self, local_date: date, site_id: int | None = None) -> NightRecord:
        """The night of that evening. Raises NotFound, naming the nights nearest to it."""
        with self._sessions.reading() as session:
            row = session.scalars(_found(local_date, site_id).where(night_stands())).first()
            if row is not None:
                return _records(session, [row])[0]
            dates = sorted(
                set(session.scalars(select(NightRow.local_date).where(night_stands()))),
                key=lambda each: abs((each - local_date).days),
            )
        near = ", ".join(each.isoformat() for each in sorted(dates[:3]))
        found = f"The nearest nights are {near}." if near else "There are no nights yet."
        raise NotFound(f"There is no night of {local_date.isoformat()}. {found}")

    def summaries(self, limit: int = 50, before: date | None = None) -> list[NightSummary]:
        """The newest nights, newest first, with what was done in each.

        before -- only nights of an earlier date: the date of the last one had, to get the next.
        Nights of one date are never parted, so a list may be a little longer than `limit`.
        """
        with self._sessions.reading() as session:
            rows = _page(session, limit, before)
            records = _records(session, rows)
            return summaries_of(session, records)

    def summaries_of(self, night_ids: Collection[int]) -> list[NightSummary]:
        """Summaries of these nights, newest first. Nights that are not there are left out."""
        with self._sessions.reading() as session:
            statement = _newest_first().where(NightRow.id.in_(night_ids), night_stands())
            return summaries_of(session, _records(session, session.scalars(statement)))


def _newest_first() -> Select[NightRow]:
    statement = select(NightRow).options(joinedload(NightRow.site))
    return statement.order_by(NightRow.local_date.desc(), NightRow.started_utc.desc())


def night_row(session: Session, night_id: int) -> NightRow:
    row = session.get(NightRow, night_id)
    if row is None:
        raise NotFound(f"There is no night number {night_id}.")
    return row


def _found(local_date: date, site_id: int | None) -> Select[NightRow]:
    statement = _newest_first().where(NightRow.local_date == local_date)
    if site_id is not None:
        statement = statement.where(NightRow.site_id == site_id)
    return statement.limit(1)


def _page(session: Session, limit: int, before: date | None) -> list[NightRow]:
    statement = _newest_first().where(night_stands())
    if before is not None:
        statement = statement.where(NightRow.local_date < before)
    rows = list(session.scalars(statement.limit(max(limit, 0))))
    if rows:
        last = rows[-1].local_date
        known = {row.id for row in rows}
        of_date = _newest_first().where(NightRow.local_date == last, night_stands())
        same_date = session.scalars(of_date)
        rows.extend(row for row in same_date if row.id not in known)
    return rows


def _end_forgotten(session: Session, *, besides: NightRow | None) -> None:
    for row in session.scalars(select(NightRow).where(NightRow.ended_utc.is_(None))):
        if row is not besides:
            last = session.scalar(
                select(func.max(EntryRow.happened_utc)).where(EntryRow.night_id == row.id)
            )
            row.ended_utc = max(row.started_utc, last or row.started_utc)


def _note_other_train(
    session: Session,
    night: NightRow,
    train: TrainRevisionRow | None,
    started: datetime,
    now: datetime,
) -> None:
    if train is None:
        return
    used = timeline_rows.night_used(session, night.id)
    if train.id == timeline_rows.train_in_use(session, used, started):
        return
    words = NewEntry("kit", started, f"train {train.train.name}", train_name=train.train.name)
    ids = timeline_rows.Ids(train_revision_id=train.id)
    timeline_rows.append(session, night.id, words, ids, now)


def _records(session: Session, rows: Iterable[NightRow]) -> list[NightRecord]:
    """Records of nights; each train revision is read once, however many nights used it."""
    known: dict[int, TrainRecord] = {}
    return [_record(session, row, known) for row in rows]


def _record(session: Session, row: NightRow, known: dict[int, TrainRecord]) -> NightRecord:
    revision_id = row.train_revision_id
    if revision_id is not None and revision_id not in known:
        known[revision_id] = train_record(trains.revision(session, revision_id))
    return NightRecord(
        id=row.id,
        uid=row.uid,
        local_date=row.local_date,
        site=replace(site_of(row.site), time_zone=row.time_zone),
        site_id=row.site_id,
        train=None if revision_id is None else known[revision_id],
        observer=row.observer,
        started_utc=row.started_utc,
        ended_utc=row.ended_utc,
    )
