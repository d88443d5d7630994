"""Readings that still stand, as what is learned from them needs them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from logbook.store.tables.models import (
    EntryRow,
    NightRow,
    PartRevisionRow,
    PartRow,
    ReadingRow,
    TrainPartRow,
    TrainRevisionRow,
)
from logbook.store.timeline.night_sums import is_current

AIR = "air_temperature_c"
FOCUS = "focus_position"
BESIDE = timedelta(minutes=30)  # an air reading this near to a focusing gives its temperature
HANDFUL = 100  # nights

# Not the bare column: else every reading of a quantity is gone through, of all nights.
_QUANTITY = ReadingRow.quantity.concat("")


@dataclass(frozen=True, slots=True)
class Read:
    """One number read in a night, and the train it was read with."""

    night_id: int
    entry_id: int
    at_utc: datetime
    quantity: str
    number: float
    train_revision_id: int | None


@dataclass(frozen=True, slots=True)
class Focusing:
    """One focus position with the temperature of the air, and the train it was focused with."""

    train_revision_id: int | None
    celsius: float
    position: float


def read_of(
    session: Session, night_ids: Sequence[int] | None, quantities: Sequence[str]
) -> list[Read]:
    """What was read of these quantities in these nights, or in all, in the order of time."""
    where = [is_current(), EntryRow.night_id.is_not(None), ReadingRow.quantity.in_(quantities)]
    if night_ids is not None:
        where = [is_current(), EntryRow.night_id.in_(night_ids), _QUANTITY.in_(quantities)]
    statement = (
        select(
            EntryRow.night_id,
            EntryRow.id,
            EntryRow.happened_utc,
            ReadingRow.quantity,
            ReadingRow.number,
            EntryRow.train_revision_id,
        )
        .join(ReadingRow, ReadingRow.entry_id == EntryRow.id)
        .where(*where)
    )
    # Ordered here: asked to, the database would go through every entry in time.
    found = [
        Read(night_id or 0, entry_id, at_utc, quantity, number, revision_id)
        for night_id, entry_id, at_utc, quantity, number, revision_id in session.execute(statement)
    ]
    return sorted(found, key=lambda each: (each.at_utc, each.entry_id))


def latest_nights(
    session: Session, quantity: str, revision_ids: Sequence[int], fewest: int, most: int
) -> list[int]:
    """The latest nights in which a quantity was read so often with one of these trains.

    The latest to begin first. Those wanted are most often in the newest handful, so that is looked
    at by itself; only else are all readings of the quantity gone through.
    """
    newest_first = select(NightRow.id).order_by(NightRow.started_utc.desc(), NightRow.id.desc())
    nights = list(session.scalars(newest_first))
    read = (
        select(EntryRow.night_id)
        .join(ReadingRow, ReadingRow.entry_id == EntryRow.id)
        .where(EntryRow.train_revision_id.in_(revision_ids), is_current())
        .group_by(EntryRow.night_id)
        .having(func.count() >= fewest)
    )
    newest = read.where(EntryRow.night_id.in_(nights[:HANDFUL]), _QUANTITY.in_([quantity]))
    enough = set(session.scalars(newest))
    if len(enough) < most and len(nights) > HANDFUL:
        enough = set(session.scalars(read.where(ReadingRow.quantity == quantity)))
    return [night_id for night_id in nights if night_id in enough][:most]


def with_telescope(session: Session, telescope_part_id: int) -> list[int]:
    """Every revision of a train that looks through this telescope."""
    statement = (
        select(TrainPartRow.train_revision_id)
        .join(PartRevisionRow, PartRevisionRow.id == TrainPartRow.part_revision_id)
        .where(PartRevisionRow.part_id == telescope_part_id, TrainPartRow.carried.is_(False))
    )
    return list(session.scalars(statement))


def of_train(session: Session, train_id: int) -> list[int]:
    """Every revision of a train."""
    statement = select(TrainRevisionRow.id).where(TrainRevisionRow.train_id == train_id)
    return list(session.scalars(statement))


def focused_with(
    focused: Sequence[Focusing], revision_ids: Sequence[int]
) -> list[tuple[float, float]]:
    """(°C of the air, position) of the focusings with these trains."""
    return [
        (each.celsius, each.position) for each in focused if each.train_revision_id in revision_ids
    ]


def focusings(read: Sequence[Read]) -> tuple[Focusing, ...]:
    """One night's focusings, in order of time.

    The air as read in the same entry, else nearest in time; without one near, it is not counted.
    """
    air = [each for each in read if each.quantity == AIR]
    found = []
    for focus in read:
        if focus.quantity != FOCUS or not air:
            continue

        def apart(each: Read, focus: Read = focus) -> timedelta:
            own = each.entry_id == focus.entry_id
            return timedelta(seconds=-1) if own else abs(each.at_utc - focus.at_utc)

        nearest = min(air, key=apart)
        if apart(nearest) <= BESIDE:
            found.append(Focusing(focus.train_revision_id, nearest.number, focus.number))
    return tuple(found)


def focusings_by_night(
    session: Session, night_ids: list[int] | None
) -> dict[int, tuple[Focusing, ...]]:
    """The focusings of these nights, or of all."""
    by_night: dict[int, list[Read]] = {}
    for each in read_of(session, night_ids, [AIR, FOCUS]):
        by_night.setdefault(each.night_id, []).append(each)
    found = ((night_id, focusings(read)) for night_id, read in by_night.items())
    return {night_id: focused for night_id, focused in found if focused}


def nights_read(
    session: Session, quantity: str, revision_ids: Sequence[int], fewest: int
) -> set[int]:
    """The nights in which a quantity was read so often with one of these trains."""
    statement = (
        select(EntryRow.night_id)
        .join(ReadingRow, ReadingRow.entry_id == EntryRow.id)
        .where(
            ReadingRow.quantity == quantity,
            EntryRow.train_revision_id.in_(revision_ids),
            EntryRow.night_id.is_not(None),
            is_current(),
        )
        .group_by(EntryRow.night_id)
        .having(func.count() >= fewest)
    )
    return {night_id for night_id in session.scalars(statement) if night_id is not None}


def with_same_telescope(session: Session, revision_id: int) -> list[int]:
    """Every revision of a train that looks through the telescope of this one."""
    statement = (
        select(PartRevisionRow.part_id)
        .join(PartRow, PartRow.id == PartRevisionRow.part_id)
        .join(TrainPartRow, TrainPartRow.part_revision_id == PartRevisionRow.id)
        .where(
            TrainPartRow.train_revision_id == revision_id,
            TrainPartRow.carried.is_(False),
            PartRow.kind == "telescope",
        )
    )
    telescope = session.scalars(statement).first()
    return [revision_id] if telescope is None else with_telescope(session, telescope)
