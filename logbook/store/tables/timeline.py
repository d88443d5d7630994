"""What happened: nights, the entries of the timeline and their details.

An entry is only ever added: a correction or a withdrawal is a new row that names the one it
supersedes. Triggers refuse the rest; see `sqlite.py`.
"""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from logbook.records.entries import READING_RANGES, TURN_RESULTS
from logbook.store.tables.base import Base, one_of
from logbook.store.tables.choosing import TargetRow
from logbook.store.tables.kit import SiteRow
from logbook.store.tables.star_tests import AdjustmentRow, StarCheckRow, StarLookDetailRow


def _readings_possible() -> str:
    """A quantity not in the list passes, so that a later release may add one without a rebuild."""
    ranges = " ".join(
        f"WHEN '{quantity}' THEN number BETWEEN {low!r} AND {high!r}"
        for quantity, (low, high) in READING_RANGES.items()
    )
    return f"CASE quantity {ranges} ELSE TRUE END"


class NightRow(Base):
    """A night at a site, by the local date of its evening. Only `ended_utc` may change."""

    __tablename__ = "night"
    __table_args__ = (UniqueConstraint("site_id", "local_date"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    local_date: Mapped[date]
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    time_zone: Mapped[str] = mapped_column(String(64))
    train_revision_id: Mapped[int | None] = mapped_column(ForeignKey("train_revision.id"))
    observer: Mapped[str] = mapped_column(String(120), default="")
    started_utc: Mapped[datetime]
    ended_utc: Mapped[datetime | None]

    site: Mapped[SiteRow] = relationship()


class EntryRow(Base):
    """One line of the timeline. Never changed, never deleted: superseded by a later row.

    The kinds are checked before a row is made (`records.entries.ENTRY_KINDS`), not by the table, so
    that a later release may add one without rebuilding it.
    """

    __tablename__ = "entry"
    __table_args__ = (
        CheckConstraint(
            "cause IS NULL OR cause IN ('correct', 'withdraw', 'undo', 'redo')", name="cause"
        ),
        Index("ix_entry_night_happened", "night_id", "happened_utc", "id"),
        Index("ix_entry_kind_happened", "kind", "happened_utc"),
        Index("ix_entry_happened", "happened_utc", "id"),
        Index("ix_entry_target", "target_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    night_id: Mapped[int | None] = mapped_column(ForeignKey("night.id"))  # None: by day
    happened_utc: Mapped[datetime]
    recorded_utc: Mapped[datetime]
    kind: Mapped[str] = mapped_column(String(16))
    action: Mapped[str | None] = mapped_column(String(16))
    text: Mapped[str] = mapped_column(String(4000))
    target_id: Mapped[int | None] = mapped_column(ForeignKey("target.id"))
    train_revision_id: Mapped[int | None] = mapped_column(ForeignKey("train_revision.id"))
    supersedes_id: Mapped[int | None] = mapped_column(ForeignKey("entry.id"), unique=True)
    cause: Mapped[str | None] = mapped_column(String(16))
    undoes_id: Mapped[int | None] = mapped_column(ForeignKey("entry.id"))
    author: Mapped[str | None] = mapped_column(String(120))
    origin: Mapped[str | None] = mapped_column(String(120))  # which machine, for a shared book

    target: Mapped[TargetRow | None] = relationship(lazy="joined")
    readings: Mapped[list["ReadingRow"]] = relationship(order_by="ReadingRow.id", lazy="selectin")
    frames: Mapped["FramesRow | None"] = relationship(lazy="selectin")
    turn: Mapped["TurnRow | None"] = relationship(lazy="selectin", foreign_keys="TurnRow.entry_id")
    look: Mapped["StarLookRow | None"] = relationship(lazy="selectin")
    look_detail: Mapped[StarLookDetailRow | None] = relationship(lazy="selectin")
    check: Mapped[StarCheckRow | None] = relationship(lazy="selectin")
    adjustment: Mapped[AdjustmentRow | None] = relationship(lazy="selectin")
    upkeep: Mapped["UpkeepRow | None"] = relationship(lazy="selectin")


class ReadingRow(Base):
    """One number of an entry; the unit is in the quantity's name."""

    __tablename__ = "reading"
    __table_args__ = (
        UniqueConstraint("entry_id", "quantity"),
        CheckConstraint(_readings_possible(), name="possible"),
        Index("ix_reading_quantity", "quantity", "entry_id"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"))
    quantity: Mapped[str] = mapped_column(String(40))
    number: Mapped[float]


class FramesRow(Base):
    __tablename__ = "frames"
    __table_args__ = (
        CheckConstraint("count >= 0", name="count"),
        CheckConstraint("exposure_s >= 0 AND exposure_s <= 86400", name="exposure"),
        CheckConstraint("binning BETWEEN 1 AND 16", name="binning"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    count: Mapped[int]
    exposure_s: Mapped[float]
    filter_name: Mapped[str | None] = mapped_column(String(40))
    gain: Mapped[float | None]
    binning: Mapped[int | None]
    region: Mapped[str | None] = mapped_column(String(40))
    frames_per_second: Mapped[float | None]
    frame_type: Mapped[str] = mapped_column(String(16))
    wanted_count: Mapped[int | None]


class FrameFileRow(Base):
    """A frame found on disk, remembered so that it is never counted twice.

    Unique with its entry only: a frame whose entry was withdrawn may be added again.
    """

    __tablename__ = "frame_file"
    __table_args__ = (UniqueConstraint("identity", "entry_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"))
    identity: Mapped[str] = mapped_column(String(64))  # of its header, not its path
    file_name: Mapped[str] = mapped_column(String(1000))
    exposed_utc: Mapped[datetime]
    exposure_s: Mapped[float]


class TurnRow(Base):
    """One turn of one screw; tightening is positive."""

    __tablename__ = "turn"
    __table_args__ = (
        CheckConstraint("turns <> 0 AND turns BETWEEN -2 AND 2", name="turns"),
        CheckConstraint(f"result IS NULL OR {one_of('result', TURN_RESULTS)}", name="result"),
        Index("ix_turn_telescope", "telescope_id", "entry_id"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    telescope_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    screw: Mapped[str] = mapped_column(String(40))
    turns: Mapped[float]
    result: Mapped[str | None] = mapped_column(String(16))
    puts_back_entry_id: Mapped[int | None] = mapped_column(ForeignKey("entry.id"))
    offset_before: Mapped[float | None]
    offset_after: Mapped[float | None]


class StarLookRow(Base):
    __tablename__ = "star_look"
    __table_args__ = (
        CheckConstraint("offset_fraction BETWEEN 0 AND 1", name="offset"),
        CheckConstraint("way IN ('eye', 'picture')", name="way"),
        Index("ix_star_look_telescope", "telescope_id", "entry_id"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    telescope_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    offset_fraction: Mapped[float]
    position_angle_deg: Mapped[float | None]
    offset_sigma: Mapped[float | None]
    disc_radius_px: Mapped[float | None]
    quality: Mapped[float | None]
    way: Mapped[str] = mapped_column(String(16))
    side_of_focus: Mapped[str | None] = mapped_column(String(16))
    star: Mapped[str | None] = mapped_column(String(60))
    picture_path: Mapped[str | None] = mapped_column(String(1000))


class UpkeepRow(Base):
    __tablename__ = "upkeep"
    __table_args__ = (
        CheckConstraint("cost >= 0", name="cost"),
        CheckConstraint("minutes >= 0", name="minutes"),
        Index("ix_upkeep_part", "part_id", "entry_id"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    part_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    part_name: Mapped[str | None] = mapped_column(String(120))  # as typed, known part or not
    action: Mapped[str] = mapped_column(String(200))
    cost: Mapped[float | None]
    minutes: Mapped[float | None]
    before: Mapped[str | None] = mapped_column(String(4000))
    after: Mapped[str | None] = mapped_column(String(4000))
    photo_path: Mapped[str | None] = mapped_column(String(1000))
