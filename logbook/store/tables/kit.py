"""Where one observes, and what with. What is known of a part or a train is a row per revision, so
that an old night keeps the kit it was done with.
"""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from logbook.records.entries import PART_STATES, TRAIN_KINDS
from logbook.store.tables.base import Base, one_of


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
        CheckConstraint(one_of("state", PART_STATES), name="state"),
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
    __table_args__ = (CheckConstraint(one_of("kind", TRAIN_KINDS), name="kind"),)

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


class FormerNameRow(Base):
    """What a train or a site was called until then. The names of parts stand in their revisions."""

    __tablename__ = "former_name"
    __table_args__ = (CheckConstraint("(train_id IS NULL) <> (site_id IS NULL)", name="of_one"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    train_id: Mapped[int | None] = mapped_column(ForeignKey("train.id"))
    site_id: Mapped[int | None] = mapped_column(ForeignKey("site.id"))
    name: Mapped[str] = mapped_column(String(120))
    until_utc: Mapped[datetime]


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
