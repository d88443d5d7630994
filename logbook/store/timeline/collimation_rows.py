"""Looks, turns and upsets of one telescope as lean rows: there may be twenty years of them."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from logbook.kit.parts.part import Part
from logbook.records.entries import Screw, ScrewSum
from logbook.store.tables.models import (
    AdjustmentRow,
    EntryRow,
    ReadingRow,
    StarLookDetailRow,
    StarLookRow,
    TrainRevisionRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.timeline.night_sums import is_current

SEEING = ("fwhm_arcsec", "seeing_pickering", "seeing_antoniadi", "seeing_of_five")
_NEWEST_FIRST = (EntryRow.happened_utc.desc(), EntryRow.id.desc())


@dataclass(frozen=True, slots=True)
class LookLine:
    """A look as the learner needs it."""

    entry_id: int
    at_utc: datetime
    night_id: int | None
    fraction: float
    angle_deg: float | None
    sigma: float | None
    radius_px: float | None
    way: str
    side: str | None
    arcsec_per_px: float | None
    orientation: str | None
    defocus_mm: float | None
    pier_side: str | None
    train_id: int | None


@dataclass(frozen=True, slots=True)
class TurnLine:
    entry_id: int
    at_utc: datetime
    night_id: int | None
    screw: str
    turns: float


@dataclass(frozen=True, slots=True)
class UpsetLine:
    """Something that may have moved the mirrors: transport, upkeep of the tube, an adjustment."""

    entry_id: int
    at_utc: datetime
    night_id: int | None
    kind: str
    text: str
    what: str | None  # of an adjustment
    action: str | None  # of upkeep


@dataclass(frozen=True, slots=True)
class TelescopeLines:
    """What there is to learn from: the newest looks and turns, and what upset them.

    seeing -- readings of tonight's seeing, (quantity, number), oldest first.
    """

    part: Part
    screws: tuple[Screw, ...]
    looks: list[LookLine]
    turns: list[TurnLine]
    upsets: list[UpsetLine]
    seeing: list[tuple[str, float]]
    sums: tuple[ScrewSum, ...]


def look_lines(session: Session, telescope_id: int, newest: int | None = None) -> list[LookLine]:
    """The looks through one telescope, oldest first; only so many of the newest, if given."""
    statement = (
        select(
            EntryRow.id,
            EntryRow.happened_utc,
            EntryRow.night_id,
            StarLookRow.offset_fraction,
            StarLookRow.position_angle_deg,
            StarLookRow.offset_sigma,
            StarLookRow.disc_radius_px,
            StarLookRow.way,
            StarLookRow.side_of_focus,
            StarLookDetailRow.arcsec_per_px,
            StarLookDetailRow.orientation,
            StarLookDetailRow.defocus_mm,
            StarLookDetailRow.pier_side,
            TrainRevisionRow.train_id,
        )
        .join(StarLookRow, StarLookRow.entry_id == EntryRow.id)
        .outerjoin(StarLookDetailRow, StarLookDetailRow.entry_id == EntryRow.id)
        .outerjoin(TrainRevisionRow, TrainRevisionRow.id == EntryRow.train_revision_id)
        .where(StarLookRow.telescope_id == telescope_id, is_current())
    )
    newest_first = statement.order_by(*_NEWEST_FIRST).limit(newest)
    found = session.execute(newest_first).all()
    rows: list[tuple[Any, ...]] = [tuple(row) for row in reversed(found)]
    return [LookLine(*row) for row in rows]


def turn_lines(session: Session, telescope_id: int, newest: int | None = None) -> list[TurnLine]:
    """The turns on one telescope, oldest first; only so many of the newest, if given."""
    statement = (
        select(
            EntryRow.id,
            EntryRow.happened_utc,
            EntryRow.night_id,
            TurnRow.screw,
            TurnRow.turns,
        )
        .join(TurnRow, TurnRow.entry_id == EntryRow.id)
        .where(EntryRow.kind == "turn", TurnRow.telescope_id == telescope_id, is_current())
    )
    newest_first = statement.order_by(*_NEWEST_FIRST).limit(newest)
    found = session.execute(newest_first).all()
    return [TurnLine(*row) for row in reversed(found)]


def upset_lines(
    session: Session, telescope_id: int, since_utc: datetime | None = None
) -> list[UpsetLine]:
    """What may have moved the mirrors of one telescope since then, oldest first."""
    of_this = or_(
        EntryRow.kind == "transport",
        (EntryRow.kind == "upkeep") & (UpkeepRow.part_id == telescope_id),
        (EntryRow.kind == "adjust") & (AdjustmentRow.telescope_id == telescope_id),
    )
    statement = (
        select(
            EntryRow.id,
            EntryRow.happened_utc,
            EntryRow.night_id,
            EntryRow.kind,
            EntryRow.text,
            AdjustmentRow.what,
            UpkeepRow.action,
        )
        .outerjoin(AdjustmentRow, AdjustmentRow.entry_id == EntryRow.id)
        .outerjoin(UpkeepRow, UpkeepRow.entry_id == EntryRow.id)
        .where(EntryRow.kind.in_(("transport", "upkeep", "adjust")), of_this, is_current())
        .order_by(EntryRow.happened_utc, EntryRow.id)
    )
    if since_utc is not None:
        statement = statement.where(EntryRow.happened_utc >= since_utc)
    return [UpsetLine(*row) for row in session.execute(statement)]


def screw_sums(session: Session, telescope_id: int) -> tuple[ScrewSum, ...]:
    """How far each screw of a telescope was turned in all, tightening positive, by name."""
    statement = (
        select(TurnRow.screw, func.sum(TurnRow.turns), func.count())
        .join(EntryRow, TurnRow.entry_id == EntryRow.id)
        .where(TurnRow.telescope_id == telescope_id, is_current())
        .group_by(TurnRow.screw)
        .order_by(TurnRow.screw)
    )
    return tuple(
        ScrewSum(screw, float(turns), count) for screw, turns, count in session.execute(statement)
    )


def seeing_lines(
    session: Session, since_utc: datetime, until_utc: datetime
) -> list[tuple[str, float]]:
    """Readings of the seeing between two instants, oldest first."""
    statement = (
        select(ReadingRow.quantity, ReadingRow.number)
        .join(EntryRow, ReadingRow.entry_id == EntryRow.id)
        .where(
            EntryRow.happened_utc.between(since_utc, until_utc),
            ReadingRow.quantity.concat("").in_(SEEING),  # by the hours, not through all readings
            is_current(),
        )
        .order_by(EntryRow.happened_utc, EntryRow.id)
    )
    return [(quantity, float(number)) for quantity, number in session.execute(statement)]
