"""What was done in each of many nights, counted by the database."""

from collections.abc import Sequence

from sqlalchemy import ColumnElement, String, and_, cast, exists, func, or_, select
from sqlalchemy.orm import Session, aliased

from logbook.records.entries import NightRecord, NightSummary
from logbook.store.tables.models import (
    EntryRow,
    FramesRow,
    NightRow,
    TargetRow,
    UnitChangeRow,
    UnitRow,
)

_NEWER = aliased(EntryRow)


def is_current() -> ColumnElement[bool]:
    """True for an entry that stands: nothing took its place, and it was not withdrawn."""
    superseded = exists().where(_NEWER.supersedes_id == EntryRow.id)
    return and_(EntryRow.kind != "withdrawn", ~superseded)


def night_stands() -> ColumnElement[bool]:
    """False for a night whose start was taken back: it ended as it began, nothing stands in it.

    Its row stays, for the start to be done again.
    """
    entries = exists().where(EntryRow.night_id == NightRow.id, is_current())
    last_cause = (
        select(UnitRow.cause)
        .join(UnitChangeRow, UnitChangeRow.unit_id == UnitRow.id)
        .where(
            UnitChangeRow.table_name == NightRow.__tablename__,
            UnitChangeRow.row_key == cast(NightRow.id, String),
        )
        .order_by(UnitChangeRow.id.desc())
        .limit(1)
        .correlate(NightRow)
        .scalar_subquery()
    )
    return or_(
        NightRow.ended_utc.is_(None),
        NightRow.ended_utc != NightRow.started_utc,
        entries,
        func.coalesce(last_cause, "") != "undo",
    )


def summaries_of(session: Session, nights: Sequence[NightRecord]) -> list[NightSummary]:
    """A summary of each of these nights, in the same order."""
    ids = [night.id for night in nights]
    if not ids:
        return []
    counts = _counts(session, ids)
    frames = _frames(session, ids)
    objects = _objects(session, ids)
    return [
        NightSummary(
            night=night,
            entries=counts.get(night.id, (0, 0))[0],
            frames=frames.get(night.id, (0, 0.0))[0],
            exposure_s=frames.get(night.id, (0, 0.0))[1],
            objects=tuple(objects.get(night.id, ())),
            turns=counts.get(night.id, (0, 0))[1],
        )
        for night in nights
    ]


def _among(ids: list[int]) -> ColumnElement[bool]:
    """A list of nights is most often a run of ids, which a range finds quicker than a long list."""
    if max(ids) - min(ids) < 2 * len(ids):
        return EntryRow.night_id.between(min(ids), max(ids))
    return EntryRow.night_id.in_(ids)


def _counts(session: Session, ids: list[int]) -> dict[int | None, tuple[int, int]]:
    turns = func.count().filter(EntryRow.kind == "turn")
    statement = (
        select(EntryRow.night_id, func.count(), turns)
        .where(_among(ids), is_current())
        .group_by(EntryRow.night_id)
    )
    return {night: (entries, turned) for night, entries, turned in session.execute(statement)}


def _frames(session: Session, ids: list[int]) -> dict[int | None, tuple[int, float]]:
    """Frames of the sky and their exposure; darks, flats and bias frames are not counted."""
    statement = (
        select(
            EntryRow.night_id,
            func.sum(FramesRow.count),
            func.sum(FramesRow.count * FramesRow.exposure_s),
        )
        .join(FramesRow, FramesRow.entry_id == EntryRow.id)
        .where(_among(ids), is_current(), FramesRow.frame_type == "light")
        .group_by(EntryRow.night_id)
    )
    return {
        night: (int(count), float(exposure_s))
        for night, count, exposure_s in session.execute(statement)
    }


def _objects(session: Session, ids: list[int]) -> dict[int | None, list[str]]:
    """Names of the objects of each night, in the order in which they were first looked at."""
    first = func.min(EntryRow.happened_utc)
    statement = (
        select(EntryRow.night_id, TargetRow.name)
        .join(TargetRow, TargetRow.id == EntryRow.target_id)
        .where(_among(ids), is_current())
        .group_by(EntryRow.night_id, TargetRow.name)
        .order_by(EntryRow.night_id, first, TargetRow.name)
    )
    names: dict[int | None, list[str]] = {}
    for night, name in session.execute(statement):
        names.setdefault(night, []).append(name)
    return names
