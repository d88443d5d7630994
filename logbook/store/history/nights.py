"""Many nights at once: what was read, exposed and seen in each, counted by the database.

A span of dates is inclusive; None leaves an end open.
"""

from collections.abc import Iterator
from datetime import date

from sqlalchemy import ColumnElement, func, select, true
from sqlalchemy.orm import InstrumentedAttribute, Session

from logbook.records.history import LightThrough, Look, NightPlace, ObjectSum, Spread
from logbook.store.history.objects_parts_trains import unnamed_frames
from logbook.store.tables.former_names import filter_column
from logbook.store.tables.models import (
    EntryRow,
    FramesRow,
    NightRow,
    ReadingRow,
    SiteRow,
    StarLookRow,
    TargetRow,
    TrainRevisionRow,
    TrainRow,
)
from logbook.store.timeline.night_sums import is_current, night_stands

# Grouped by a sum, not by the bare column: else the index of nights is gone through from end to end
# although the details are few.
_BY_NIGHT = EntryRow.night_id + 0
_FEW = 200  # nights

Span = tuple[date | None, date | None]
Which = Span | list[int] | None  # the nights of a span, these by their ids, or all


def places(session: Session, which: Which) -> tuple[NightPlace, ...]:
    """Nights in short, oldest first."""
    statement = (
        select(
            NightRow.id,
            NightRow.local_date,
            NightRow.site_id,
            SiteRow.name,
            TrainRow.id,
            TrainRow.name,
            TrainRevisionRow.revision,
            NightRow.started_utc,
            NightRow.ended_utc,
        )
        .join(SiteRow, SiteRow.id == NightRow.site_id)
        .join(TrainRevisionRow, TrainRevisionRow.id == NightRow.train_revision_id, isouter=True)
        .join(TrainRow, TrainRow.id == TrainRevisionRow.train_id, isouter=True)
        .where(_rows(which), night_stands())
        .order_by(NightRow.local_date, NightRow.started_utc)
    )
    return tuple(NightPlace(*row) for row in session.execute(statement))


def spreads(
    session: Session, quantities: tuple[str, ...], which: Which
) -> dict[int, dict[str, Spread]]:
    """By night, then by quantity, what was read."""
    statement = (
        select(
            EntryRow.night_id,
            ReadingRow.quantity,
            func.count(),
            func.avg(ReadingRow.number),
            func.min(ReadingRow.number),
            func.max(ReadingRow.number),
        )
        .join(ReadingRow, ReadingRow.entry_id == EntryRow.id)
        .where(
            _quantity(which).in_(quantities),
            _details(session, which, ReadingRow.entry_id),
            is_current(),
        )
        .group_by(_BY_NIGHT, ReadingRow.quantity)
    )
    found: dict[int, dict[str, Spread]] = {}
    for night_id, quantity, count, mean, low, high in session.execute(statement):
        assert night_id is not None
        found.setdefault(night_id, {})[quantity] = Spread(count, mean, low, high)
    return found


def spreads_through(session: Session, quantity: str, which: Which) -> dict[int, dict[int, Spread]]:
    """By night, then by revision of the train in use (0 where none was), what was read."""
    statement = (
        select(
            EntryRow.night_id,
            EntryRow.train_revision_id,
            func.count(),
            func.avg(ReadingRow.number),
            func.min(ReadingRow.number),
            func.max(ReadingRow.number),
        )
        .join(ReadingRow, ReadingRow.entry_id == EntryRow.id)
        .where(
            _quantity(which) == quantity,
            _details(session, which, ReadingRow.entry_id),
            is_current(),
        )
        .group_by(_BY_NIGHT, EntryRow.train_revision_id)
    )
    found: dict[int, dict[int, Spread]] = {}
    for night_id, revision_id, count, mean, low, high in session.execute(statement):
        assert night_id is not None
        found.setdefault(night_id, {})[revision_id or 0] = Spread(count, mean, low, high)
    return found


def light(session: Session, which: Which) -> dict[int, tuple[LightThrough, ...]]:
    """By night, the frames of the sky by revision of a train and by filter."""
    found: dict[int, tuple[LightThrough, ...]] = {}
    for night_id, one in _light(session, _details(session, which, FramesRow.entry_id)):
        assert night_id is not None
        found[night_id] = (*found.get(night_id, ()), one)
    return found


def light_by_day(session: Session) -> tuple[LightThrough, ...]:
    """The same of entries that belong to no night."""
    return tuple(one for _, one in _light(session, EntryRow.night_id.is_(None)))


def _light(
    session: Session, where: ColumnElement[bool]
) -> Iterator[tuple[int | None, LightThrough]]:
    filter_name = filter_column(session)
    statement = (
        select(
            EntryRow.night_id,
            EntryRow.train_revision_id,
            filter_name,
            func.sum(FramesRow.count),
            func.sum(FramesRow.count * FramesRow.exposure_s),
        )
        .join(FramesRow, FramesRow.entry_id == EntryRow.id)
        .where(FramesRow.frame_type == "light", where, is_current())
        .group_by(_BY_NIGHT, EntryRow.train_revision_id, filter_name)
    )
    for night_id, revision_id, name, frames, seconds in session.execute(statement):
        yield night_id, LightThrough(revision_id or 0, name or "", int(frames), float(seconds))


def looks(session: Session, span: Span) -> tuple[Look, ...]:
    """The star tests of a span of nights, oldest first."""
    statement = (
        select(
            EntryRow.night_id,
            EntryRow.happened_utc,
            StarLookRow.telescope_id,
            StarLookRow.offset_fraction,
            StarLookRow.offset_sigma,
        )
        .join(StarLookRow, StarLookRow.entry_id == EntryRow.id)
        .where(EntryRow.id.in_(select(StarLookRow.entry_id)), _nights(session, span), is_current())
    )
    # Ordered here: asked to, the database would go through every entry in time.
    found = (Look(*row) for row in session.execute(statement))
    return tuple(sorted(found, key=lambda each: each.happened_utc))


def objects_of_span(session: Session, span: Span) -> tuple[ObjectSum, ...]:
    """The objects of a span of nights, longest exposed first."""
    seconds = func.sum(FramesRow.count * FramesRow.exposure_s).filter(
        FramesRow.frame_type == "light"
    )
    statement = (
        select(TargetRow.id, TargetRow.name, func.count(func.distinct(EntryRow.night_id)), seconds)
        .join(EntryRow, EntryRow.target_id == TargetRow.id)
        .join(FramesRow, FramesRow.entry_id == EntryRow.id, isouter=True)
        .where(_nights(session, span), is_current())
        .group_by(TargetRow.id)
    )
    unnamed: dict[int | None, float] = {}
    for each in unnamed_frames(session, _nights(session, span)):
        unnamed[each.target_id] = unnamed.get(each.target_id, 0.0) + each.seconds
    found = (
        ObjectSum(name, count, float(total or 0.0) + unnamed.get(target_id, 0.0))
        for target_id, name, count, total in session.execute(statement)
    )
    return tuple(sorted(found, key=lambda each: (-each.seconds, each.name)))


def site_of_most_nights(session: Session, span: Span) -> int | None:
    """The id of the site with the most nights of a span."""
    statement = (
        select(NightRow.site_id)
        .where(_dates(span), night_stands())
        .group_by(NightRow.site_id)
        .order_by(func.count().desc(), NightRow.site_id)
        .limit(1)
    )
    return session.scalar(statement)


def _dates(span: Span) -> ColumnElement[bool]:
    first, last = span
    if first is None and last is None:
        return true()
    return NightRow.local_date.between(first or date.min, last or date.max)


def _rows(which: Which) -> ColumnElement[bool]:
    if which is None:
        return true()
    return _dates(which) if isinstance(which, tuple) else NightRow.id.in_(which)


def _nights(session: Session, which: Which) -> ColumnElement[bool]:
    """Entries of these nights: most often a run of ids, which an index finds quickly."""
    if which is None:
        return EntryRow.night_id.is_not(None)
    ids = list(session.scalars(select(NightRow.id).where(_rows(which))))
    if ids and max(ids) - min(ids) + 1 == len(ids):
        return EntryRow.night_id.between(min(ids), max(ids))
    return EntryRow.night_id.in_(ids)


def _details(
    session: Session, which: Which, entry_id: InstrumentedAttribute[int]
) -> ColumnElement[bool]:
    """Details of the entries of these nights, by the column that names their entry.

    In a span only the reach of its entries' ids is gone through, not those of all years.
    """
    found = _nights(session, which)
    if not isinstance(which, tuple):
        return found
    reach = select(func.min(EntryRow.id), func.max(EntryRow.id)).where(found)
    first, last = session.execute(reach).one()
    return found & entry_id.between(first or 0, last or 0)


def _quantity(which: Which) -> ColumnElement[str]:
    """The quantity; of a few nights not the bare column, so that these are gone through first."""
    few = isinstance(which, list) and len(which) <= _FEW
    return ReadingRow.quantity.concat("") if few else ReadingRow.quantity.expression


def first_and_last(session: Session) -> tuple[date, date] | None:
    """The dates of the first and the last night; None in an empty book."""
    first, last = session.execute(
        select(func.min(NightRow.local_date), func.max(NightRow.local_date)).where(night_stands())
    ).one()
    return None if first is None else (first, last)
