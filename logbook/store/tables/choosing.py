"""What is worth observing: objects of interest, hours wanted of them, limits, plans."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from logbook.store.tables.base import Base


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
