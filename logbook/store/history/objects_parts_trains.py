"""Objects, parts and trains over all nights: frames taken, nights used, hours."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, func, select
from sqlalchemy.orm import Session

from logbook.records.entries import EntryRecord, TargetCopy
from logbook.records.history import Exposed, PartUse, TargetSeen
from logbook.store.tables.convert import target_of
from logbook.store.tables.former_names import filter_column
from logbook.store.tables.models import (
    EntryRow,
    FramesRow,
    NightRow,
    PartRevisionRow,
    TargetRow,
    TrainPartRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.timeline import rows as timeline_rows
from logbook.store.timeline.night_sums import is_current, night_stands


def targets(session: Session) -> tuple[TargetSeen, ...]:
    """Every object that was worked on, by name."""
    statement = (
        select(EntryRow.target_id, func.count(func.distinct(EntryRow.night_id)))
        .where(EntryRow.target_id.is_not(None), is_current())
        .group_by(EntryRow.target_id)
    )
    counts: dict[int | None, int] = dict(session.execute(statement).all())
    rows = session.scalars(select(TargetRow).order_by(TargetRow.name, TargetRow.id))
    return tuple(
        TargetSeen(row.id, target_of(row), counts[row.id]) for row in rows if row.id in counts
    )


def copies(session: Session) -> tuple[tuple[int, TargetCopy], ...]:
    """Every object the book has a copy of, with its id, by name."""
    rows = session.scalars(select(TargetRow).order_by(TargetRow.name, TargetRow.id))
    return tuple((row.id, target_of(row)) for row in rows)


def nights_of_target(session: Session, target_id: int) -> tuple[int, ...]:
    """Ids of the nights in which an object was worked on, oldest first."""
    statement = (
        select(EntryRow.night_id)
        .where(EntryRow.target_id == target_id, EntryRow.night_id.is_not(None), is_current())
        .group_by(EntryRow.night_id)
        .order_by(func.min(EntryRow.happened_utc))
    )
    return tuple(night_id for night_id in session.scalars(statement) if night_id is not None)


def frames_of_target(session: Session, target_id: int) -> tuple[Exposed, ...]:
    """Frames of an object: what names it, and what names none while it was running."""
    begun = select(EntryRow.night_id).where(
        EntryRow.kind == "object", EntryRow.action == "start", _is(target_id), is_current()
    )
    nights = list(session.scalars(begun.distinct()))
    found = [_exposed(row) for row in session.execute(_frames(session).where(_is(target_id)))]
    found += [
        each
        for each in unnamed_frames(session, EntryRow.night_id.in_(nights))
        if each.target_id == target_id
    ]
    return tuple(sorted(found, key=lambda each: each.happened_utc))


def _is(target_id: int) -> Any:
    return EntryRow.target_id == target_id


def unnamed_frames(session: Session, where: ColumnElement[bool]) -> list[Exposed]:
    """Frames of these entries that name no object, as of the object that was running then.

    `running.runs` counts those of one night in the same way.
    """
    wanted = _frames(session).where(EntryRow.target_id.is_(None), where)
    unnamed = [_exposed(row) for row in session.execute(wanted)]
    nights = list({each.night_id for each in unnamed if each.night_id is not None})
    if not nights:
        return unnamed
    changes = (
        select(
            EntryRow.night_id,
            EntryRow.happened_utc,
            EntryRow.id,
            EntryRow.action,
            EntryRow.target_id,
        )
        .where(EntryRow.kind == "object", EntryRow.night_id.in_(nights), is_current())
        .order_by(EntryRow.happened_utc, EntryRow.id)
    )
    by_night: dict[int | None, list[Any]] = {}
    for each in session.execute(changes):
        by_night.setdefault(each.night_id, []).append(each)
    return [
        replace(each, target_id=_running(by_night.get(each.night_id, []), each)) for each in unnamed
    ]


def _running(changes: Sequence[Any], frames: Exposed) -> int | None:
    """The object that ran when the frames were logged."""
    running = None
    for _, at, entry_id, action, target_id in changes:
        if (at, entry_id) < (frames.happened_utc, frames.entry_id):
            running = target_id if action == "start" else None
    return running


def _frames(session: Session) -> Select[Any]:
    columns: list[Any] = [
        EntryRow.night_id,
        EntryRow.happened_utc,
        EntryRow.target_id,
        EntryRow.train_revision_id,
        filter_column(session),
        FramesRow.gain,
        FramesRow.binning,
        FramesRow.count,
        FramesRow.exposure_s,
        EntryRow.id,
    ]
    return (
        select(*columns)
        .join(FramesRow, FramesRow.entry_id == EntryRow.id)
        .where(FramesRow.frame_type == "light", is_current())
        .order_by(EntryRow.happened_utc, EntryRow.id)
    )


def _exposed(row: Any) -> Exposed:
    return Exposed(*row)


def revisions_with(session: Session, part_id: int) -> tuple[int, ...]:
    """Ids of the revisions of trains that hold a part, whatever revision of it."""
    statement = (
        select(TrainPartRow.train_revision_id)
        .join(PartRevisionRow, PartRevisionRow.id == TrainPartRow.part_revision_id)
        .where(PartRevisionRow.part_id == part_id)
        .distinct()
    )
    return tuple(session.scalars(statement))


def nights_by_revision(session: Session, revision_ids: Sequence[int]) -> dict[int, set[int]]:
    """By revision of a train, the nights begun with it or changed to it."""
    begun = select(NightRow.train_revision_id, NightRow.id).where(
        NightRow.train_revision_id.in_(revision_ids), night_stands()
    )
    changed = select(EntryRow.train_revision_id, EntryRow.night_id).where(
        EntryRow.kind == "kit", EntryRow.train_revision_id.in_(revision_ids), is_current()
    )
    found: dict[int, set[int]] = {}
    for revision_id, night_id in [*session.execute(begun), *session.execute(changed)]:
        if revision_id is not None and night_id is not None:
            found.setdefault(revision_id, set()).add(night_id)
    return found


def nights_through(session: Session, revision_ids: Sequence[int]) -> tuple[int, ...]:
    """Ids of the nights that used one of these revisions of trains, oldest first."""
    used = {each for of in nights_by_revision(session, revision_ids).values() for each in of}
    statement = (
        select(NightRow.id)
        .where(NightRow.id.in_(used), night_stands())
        .order_by(NightRow.local_date, NightRow.started_utc)
    )
    return tuple(session.scalars(statement))


def part_use(session: Session, part_id: int, since_utc: datetime | None) -> PartUse:
    """How much a part was used, of everything or since an instant."""
    revision_ids = revisions_with(session, part_id)
    nights = nights_through(session, revision_ids)
    statement = (
        select(NightRow.local_date, NightRow.started_utc, NightRow.ended_utc)
        .where(NightRow.id.in_(nights))
        .order_by(NightRow.local_date)
    )
    exposed = select(func.sum(FramesRow.count * FramesRow.exposure_s)).join(
        EntryRow, FramesRow.entry_id == EntryRow.id
    )
    exposed = exposed.where(
        FramesRow.frame_type == "light",
        EntryRow.train_revision_id.in_(revision_ids),
        is_current(),
    )
    if since_utc is not None:
        statement = statement.where(NightRow.started_utc >= since_utc)
        exposed = exposed.where(EntryRow.happened_utc >= since_utc)
    used = session.execute(statement).all()
    out_s = sum((ended - started).total_seconds() for _, started, ended in used if ended)
    return PartUse(
        nights=len(used),
        exposed_hours=float(session.scalar(exposed) or 0.0) / 3600.0,
        out_hours=out_s / 3600.0,
        first=used[0][0] if used else None,
        last=used[-1][0] if used else None,
    )


def upkeep_of(session: Session, part_id: int) -> tuple[EntryRecord, ...]:
    """What was done to a part, oldest first."""
    statement = (
        select(EntryRow)
        .join(UpkeepRow, UpkeepRow.entry_id == EntryRow.id)
        .where(UpkeepRow.part_id == part_id, is_current())
        .order_by(EntryRow.happened_utc, EntryRow.id)
    )
    return timeline_rows.records(session, statement)


def between(
    session: Session, after_utc: datetime, before_utc: datetime, kinds: Sequence[str]
) -> tuple[EntryRecord, ...]:
    """Entries of some kinds that happened after one instant and before another, in order."""
    statement = (
        select(EntryRow)
        .where(
            EntryRow.kind.in_(kinds),
            EntryRow.happened_utc > after_utc,
            EntryRow.happened_utc < before_utc,
            is_current(),
        )
        .order_by(EntryRow.happened_utc, EntryRow.id)
    )
    return timeline_rows.records(session, statement)


def turned_between(
    session: Session, after_utc: datetime, before_utc: datetime
) -> tuple[tuple[int | None, str, float, int], ...]:
    """By telescope and screw: the net turns between two instants, and how many turns."""
    statement = (
        select(TurnRow.telescope_id, TurnRow.screw, func.sum(TurnRow.turns), func.count())
        .join(EntryRow, EntryRow.id == TurnRow.entry_id)
        .where(
            EntryRow.happened_utc > after_utc,
            EntryRow.happened_utc < before_utc,
            EntryRow.kind == "turn",
            is_current(),
        )
        .group_by(TurnRow.telescope_id, TurnRow.screw)
        .order_by(TurnRow.telescope_id, TurnRow.screw)
    )
    return tuple(
        (telescope, screw, float(turns), count)
        for telescope, screw, turns, count in session.execute(statement)
    )


def of_nights(
    session: Session, night_ids: Sequence[int], kinds: Sequence[str], newest: int
) -> tuple[EntryRecord, ...]:
    """The newest entries of some kinds in these nights, oldest first."""
    statement = (
        select(EntryRow)
        .where(EntryRow.night_id.in_(night_ids), EntryRow.kind.in_(kinds), is_current())
        .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
        .limit(newest)
    )
    return timeline_rows.records(session, statement)[::-1]


def texts(session: Session, night_ids: Sequence[int], kinds: Sequence[str]) -> dict[int, list[str]]:
    """By night, what was typed for entries of some kinds."""
    statement = select(EntryRow.night_id, EntryRow.text).where(
        EntryRow.night_id.in_(night_ids), EntryRow.kind.in_(kinds), is_current()
    )
    found: dict[int, list[str]] = {}
    for night_id, text in session.execute(statement):
        if night_id is not None:
            found.setdefault(night_id, []).append(text)
    return found
