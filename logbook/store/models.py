"""The tables of a book.

Two rules shape them. What happened (`entry` and its details) is only ever added: a correction or a
withdrawal is a new row that names the one it supersedes. What the owner has (`part`, `train`) is a
row per revision, so that an old night keeps the kit it was done with. Triggers refuse the rest;
see `sqlite.py`.
"""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, MetaData, String, UniqueConstraint
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, relationship

from logbook.store.instants import UtcDateTime
from logbook.store.records import (
    PART_STATES,
    READING_RANGES,
    TRAIN_KINDS,
    TURN_RESULTS,
)


def _one_of(column: str, words: tuple[str, ...]) -> str:
    return f"{column} IN ({', '.join(repr(word) for word in words)})"


def _readings_possible() -> str:
    """A quantity not in the list passes, so that a later release may add one without a rebuild."""
    ranges = " ".join(
        f"WHEN '{quantity}' THEN number BETWEEN {low!r} AND {high!r}"
        for quantity, (low, high) in READING_RANGES.items()
    )
    return f"CASE quantity {ranges} ELSE TRUE END"


class Base(DeclarativeBase):
    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map = {datetime: UtcDateTime}  # noqa: RUF012 (SQLAlchemy reads it)


class BookRow(Base):
    """The one row that says which book this is."""

    __tablename__ = "book"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    made_utc: Mapped[datetime]
    made_with: Mapped[str] = mapped_column(String(40))


class SiteRow(Base):
    __tablename__ = "site"
    __table_args__ = (
        CheckConstraint("latitude_deg BETWEEN -90 AND 90", name="latitude"),
        CheckConstraint("longitude_deg BETWEEN -180 AND 180", name="longitude"),
        CheckConstraint("elevation_m BETWEEN -500 AND 9000", name="elevation"),
        CheckConstraint("dark_sky_mag_arcsec2 BETWEEN 5 AND 23.5", name="dark_sky"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    name: Mapped[str] = mapped_column(String(120), unique=True)
    latitude_deg: Mapped[float]
    longitude_deg: Mapped[float]
    elevation_m: Mapped[float]
    time_zone: Mapped[str] = mapped_column(String(64))
    dark_sky_mag_arcsec2: Mapped[float | None]
    note: Mapped[str] = mapped_column(String(4000), default="")
    created_utc: Mapped[datetime]
    retired_utc: Mapped[datetime | None]

    horizon: Mapped[list["HorizonPointRow"]] = relationship(
        order_by="HorizonPointRow.azimuth_deg", lazy="selectin"
    )


class HorizonPointRow(Base):
    __tablename__ = "horizon_point"
    __table_args__ = (
        UniqueConstraint("site_id", "azimuth_deg"),
        CheckConstraint("azimuth_deg >= 0 AND azimuth_deg < 360", name="azimuth"),
        CheckConstraint("altitude_deg BETWEEN -5 AND 90", name="altitude"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    azimuth_deg: Mapped[float]
    altitude_deg: Mapped[float]


class PartRow(Base):
    """A part through all its life; what is known of it stands in its revisions."""

    __tablename__ = "part"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    kind: Mapped[str] = mapped_column(String(40))
    created_utc: Mapped[datetime]
    retired_utc: Mapped[datetime | None]


class PartRevisionRow(Base):
    """A part as it stood from `changed_utc` on."""

    __tablename__ = "part_revision"
    __table_args__ = (
        UniqueConstraint("part_id", "revision"),
        CheckConstraint(_one_of("state", PART_STATES), name="state"),
        CheckConstraint("price >= 0", name="price"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    part_id: Mapped[int] = mapped_column(ForeignKey("part.id"))
    revision: Mapped[int]
    name: Mapped[str] = mapped_column(String(120))
    state: Mapped[str] = mapped_column(String(16))
    reason: Mapped[str] = mapped_column(String(4000), default="")
    price: Mapped[float | None]
    note: Mapped[str] = mapped_column(String(4000), default="")
    photo_path: Mapped[str] = mapped_column(String(1000), default="")
    link: Mapped[str] = mapped_column(String(1000), default="")
    changed_utc: Mapped[datetime]
    change_note: Mapped[str] = mapped_column(String(4000), default="")

    part: Mapped[PartRow] = relationship(lazy="joined")
    values: Mapped[list["PartValueRow"]] = relationship(order_by="PartValueRow.id", lazy="selectin")


class PartValueRow(Base):
    """One stated or measured value of one revision of a part."""

    __tablename__ = "part_value"
    __table_args__ = (
        UniqueConstraint("part_revision_id", "quantity", "basis"),
        CheckConstraint("basis IN ('stated', 'measured')", name="basis"),
        CheckConstraint("(number IS NULL) <> (word IS NULL)", name="number_or_word"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    part_revision_id: Mapped[int] = mapped_column(ForeignKey("part_revision.id"))
    quantity: Mapped[str] = mapped_column(String(40))
    basis: Mapped[str] = mapped_column(String(10))
    number: Mapped[float | None]
    word: Mapped[str | None] = mapped_column(String(200))
    how: Mapped[str] = mapped_column(String(400), default="")
    measured_on: Mapped[str] = mapped_column(String(10), default="")


class ScrewRow(Base):
    """An outer secondary screw of a telescope. The centre screw is never one."""

    __tablename__ = "screw"
    __table_args__ = (
        UniqueConstraint("part_id", "name"),
        CheckConstraint("clock_hour > 0 AND clock_hour <= 12", name="clock_hour"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    part_id: Mapped[int] = mapped_column(ForeignKey("part.id"))
    name: Mapped[str] = mapped_column(String(40))
    clock_hour: Mapped[float]
    tighten_clockwise: Mapped[bool]
    lock_kind: Mapped[str] = mapped_column(String(40), default="")  # plain, push-pull, locked
    retired_utc: Mapped[datetime | None]


class TrainRow(Base):
    __tablename__ = "train"
    __table_args__ = (CheckConstraint(_one_of("kind", TRAIN_KINDS), name="kind"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    name: Mapped[str] = mapped_column(String(120), unique=True)
    kind: Mapped[str] = mapped_column(String(16))
    created_utc: Mapped[datetime]
    retired_utc: Mapped[datetime | None]


class TrainRevisionRow(Base):
    """A train as it stood from `made_utc` on: these parts, each as it was then."""

    __tablename__ = "train_revision"
    __table_args__ = (UniqueConstraint("train_id", "revision"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    train_id: Mapped[int] = mapped_column(ForeignKey("train.id"))
    revision: Mapped[int]
    made_utc: Mapped[datetime]
    note: Mapped[str] = mapped_column(String(4000), default="")

    train: Mapped[TrainRow] = relationship(lazy="joined")
    parts: Mapped[list["TrainPartRow"]] = relationship(
        order_by="TrainPartRow.position", lazy="selectin"
    )


class TrainPartRow(Base):
    """A place in a train. Parts out of the light path ride along (`carried`)."""

    __tablename__ = "train_part"
    __table_args__ = (
        UniqueConstraint("train_revision_id", "position"),
        CheckConstraint("position >= 0", name="position"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    train_revision_id: Mapped[int] = mapped_column(ForeignKey("train_revision.id"))
    part_revision_id: Mapped[int] = mapped_column(ForeignKey("part_revision.id"))
    position: Mapped[int]
    carried: Mapped[bool]
    setting_mm: Mapped[float | None]  # how far drawn out: a focuser, a sliding fit
    along_tube_mm: Mapped[float | None]  # where its centre of mass sits along the dovetail

    part_revision: Mapped[PartRevisionRow] = relationship(lazy="joined")


class TargetRow(Base):
    """An object of interest, copied from the catalogue at first use."""

    __tablename__ = "target"
    __table_args__ = (
        CheckConstraint("ra_deg >= 0 AND ra_deg < 360", name="ra"),
        CheckConstraint("dec_deg BETWEEN -90 AND 90", name="dec"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    catalogue_id: Mapped[str] = mapped_column(String(60), unique=True)
    name: Mapped[str] = mapped_column(String(120))
    kind: Mapped[str] = mapped_column(String(40))
    constellation: Mapped[str] = mapped_column(String(3), default="")
    ra_deg: Mapped[float | None]
    dec_deg: Mapped[float | None]
    major_arcmin: Mapped[float | None]
    minor_arcmin: Mapped[float | None]
    position_angle_deg: Mapped[float | None]
    magnitude: Mapped[float | None]
    created_utc: Mapped[datetime]
    retired_utc: Mapped[datetime | None]


class ProjectRow(Base):
    """Hours wanted of one object through one filter."""

    __tablename__ = "project"
    __table_args__ = (CheckConstraint("wanted_hours > 0", name="wanted_hours"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    target_id: Mapped[int] = mapped_column(ForeignKey("target.id"))
    filter_name: Mapped[str | None] = mapped_column(String(40))
    wanted_hours: Mapped[float]
    note: Mapped[str] = mapped_column(String(4000), default="")
    created_utc: Mapped[datetime]
    retired_utc: Mapped[datetime | None]


class LimitSetRow(Base):
    """A named set of limits for choosing, such as one kind of work asks for."""

    __tablename__ = "limit_set"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    name: Mapped[str] = mapped_column(String(120), unique=True)
    limits_json: Mapped[str] = mapped_column(String(4000))  # never queried, only read whole
    created_utc: Mapped[datetime]
    retired_utc: Mapped[datetime | None]


class RunningOrderRow(Base):
    """What was meant to be done in a night, in order; the newest for a date counts."""

    __tablename__ = "running_order"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("site.id"))
    local_date: Mapped[date]
    made_utc: Mapped[datetime]


class RunningOrderItemRow(Base):
    __tablename__ = "running_order_item"
    __table_args__ = (UniqueConstraint("running_order_id", "position"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    running_order_id: Mapped[int] = mapped_column(ForeignKey("running_order.id"))
    position: Mapped[int]
    target_id: Mapped[int] = mapped_column(ForeignKey("target.id"))
    from_utc: Mapped[datetime | None]
    to_utc: Mapped[datetime | None]
    note: Mapped[str] = mapped_column(String(4000), default="")


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

    The kinds are checked at the store's door (`records.ENTRY_KINDS`), not by the table, so that a
    later release may add one without rebuilding it.
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
        CheckConstraint(f"result IS NULL OR {_one_of('result', TURN_RESULTS)}", name="result"),
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


class UpkeepRuleRow(Base):
    """When work on a part falls due: whichever of its limits comes first."""

    __tablename__ = "upkeep_rule"

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    part_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    action: Mapped[str] = mapped_column(String(200))
    every_nights: Mapped[int | None]
    every_months: Mapped[int | None]
    every_hours_of_use: Mapped[float | None]
    every_step_c: Mapped[float | None]
    after_transport: Mapped[bool]
    created_utc: Mapped[datetime]
    retired_utc: Mapped[datetime | None]


class UpkeepSnoozeRow(Base):
    __tablename__ = "upkeep_snooze"

    id: Mapped[int] = mapped_column(primary_key=True)
    upkeep_rule_id: Mapped[int] = mapped_column(ForeignKey("upkeep_rule.id"))
    said_utc: Mapped[datetime]
    until_utc: Mapped[datetime]


class DraftRow(Base):
    """Half-typed text, by the place it was typed in. The one table that is overwritten."""

    __tablename__ = "draft"

    slot: Mapped[str] = mapped_column(String(60), primary_key=True)
    text: Mapped[str] = mapped_column(String(4000))
    updated_utc: Mapped[datetime]


class ChoiceRow(Base):
    """What was last chosen (site, train, view), so that the next start proposes it."""

    __tablename__ = "choice"

    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    value: Mapped[str] = mapped_column(String(400))
    updated_utc: Mapped[datetime]
