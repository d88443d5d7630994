"""Many nights at once: what was read, exposed and seen in each, counted by the database.

A span of dates is inclusive; None leaves an end open.
"""

from datetime import date

from sqlalchemy import ColumnElement, and_, func, select, true
from sqlalchemy.orm import Session, aliased

from logbook.store.looking_back_records import (
    Light,
    Look,
    NightPlace,
    ObjectSum,
    Pair,
    Spread,
)
from logbook.store.models import (
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
from logbook.store.night_sums import is_current

# Grouped by a sum, not by the bare column: else the index of nights is gone through from end to end
# although the details are few.
_BY_NIGHT = EntryRow.night_id + 0
_MANY = 1000  # nights; of more it is quicker to read all and to leave out

Span = tuple[date | None, date | None]
Which = Span | list[int]  # the nights of a span, or these by their ids


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
        .where(_rows(which))
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
        .where(ReadingRow.quantity.in_(quantities), _nights(session, which), is_current())
        .group_by(_BY_NIGHT, ReadingRow.quantity)
    )
    found: dict[int, dict[str, Spread]] = {}
    for night_id, quantity, count, mean, low, high in session.execute(statement):
        assert night_id is not None
        found.setdefault(night_id, {})[quantity] = Spread(count, mean, low, high)
    if isinstance(which, list):
        return {night_id: found[night_id] for night_id in which if night_id in found}
    return found


def light(session: Session, span: Span) -> dict[int, Light]:
    """By night, the frames of the sky and how long they were exposed."""
    statement = (
        select(
            EntryRow.night_id,
            func.sum(FramesRow.count),
            func.sum(FramesRow.count * FramesRow.exposure_s),
        )
        .join(FramesRow, FramesRow.entry_id == EntryRow.id)
        .where(FramesRow.frame_type == "light", _nights(session, span), is_current())
        .group_by(_BY_NIGHT)
    )
    return {
        night_id: Light(int(frames), float(seconds))
        for night_id, frames, seconds in session.execute(statement)
        if night_id is not None
    }


def pairs(session: Session, first: str, second: str, which: Which) -> tuple[Pair, ...]:
    """Two quantities read in one entry, in the order in which that happened."""
    other = aliased(ReadingRow)
    statement = (
        select(EntryRow.night_id, EntryRow.happened_utc, ReadingRow.number, other.number)
        .join(ReadingRow, and_(ReadingRow.entry_id == EntryRow.id, ReadingRow.quantity == first))
        .join(other, and_(other.entry_id == EntryRow.id, other.quantity == second))
        .where(_nights(session, which), is_current())
    )
    rows = session.execute(statement)
    found = [Pair(night_id, at, a, b) for night_id, at, a, b in rows if night_id is not None]
    return tuple(sorted(found, key=lambda each: each.happened_utc))


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
        select(TargetRow.name, func.count(func.distinct(EntryRow.night_id)), seconds)
        .join(EntryRow, EntryRow.target_id == TargetRow.id)
        .join(FramesRow, FramesRow.entry_id == EntryRow.id, isouter=True)
        .where(_nights(session, span), is_current())
        .group_by(TargetRow.id)
        .order_by(func.coalesce(seconds, 0.0).desc(), TargetRow.name)
    )
    return tuple(
        ObjectSum(name, count, float(total or 0.0))
        for name, count, total in session.execute(statement)
    )


def site_of_most_nights(session: Session, span: Span) -> int | None:
    """The id of the site with the most nights of a span."""
    statement = (
        select(NightRow.site_id)
        .where(_dates(span))
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
    return _dates(which) if isinstance(which, tuple) else NightRow.id.in_(which)


def _nights(session: Session, which: Which) -> ColumnElement[bool]:
    """Entries of these nights: most often a run of ids, which an index finds quickly."""
    if which == (None, None) or (isinstance(which, list) and len(which) > _MANY):
        return EntryRow.night_id.is_not(None)
    ids = list(session.scalars(select(NightRow.id).where(_rows(which))))
    if ids and max(ids) - min(ids) + 1 == len(ids):
        return EntryRow.night_id.between(min(ids), max(ids))
    return EntryRow.night_id.in_(ids)


def first_and_last(session: Session) -> tuple[date, date] | None:
    """The dates of the first and the last night; None in an empty book."""
    first, last = session.execute(
        select(func.min(NightRow.local_date), func.max(NightRow.local_date))
    ).one()
    return None if first is None else (first, last)
