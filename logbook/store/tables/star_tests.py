"""Star tests beside the offset itself: how a look was taken, checks in focus, adjustments."""

from sqlalchemy import CheckConstraint, ForeignKey, Index, String
from sqlalchemy.orm import Mapped, mapped_column

from logbook.records.entries import PIER_SIDES, STAR_ROLES, TURN_RESULTS
from logbook.store.tables.base import Base, one_of

_ALTITUDE = "altitude_deg BETWEEN -5 AND 90"


def _maybe_one_of(column: str, words: tuple[str, ...]) -> str:
    return f"{column} IS NULL OR {one_of(column, words)}"


class StarLookDetailRow(Base):
    """How the disc and the shadow lie in the picture, and how it was taken."""

    __tablename__ = "star_look_detail"
    __table_args__ = (
        CheckConstraint(_ALTITUDE, name="altitude"),
        CheckConstraint(_maybe_one_of("pier_side", PIER_SIDES), name="pier_side"),
        CheckConstraint("arcsec_per_px > 0", name="scale"),
        CheckConstraint(_maybe_one_of("star_role", STAR_ROLES), name="star_role"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    disc_x_px: Mapped[float | None]
    disc_y_px: Mapped[float | None]
    disc_sigma_px: Mapped[float | None]
    shadow_x_px: Mapped[float | None]
    shadow_y_px: Mapped[float | None]
    shadow_radius_px: Mapped[float | None]
    shadow_sigma_px: Mapped[float | None]
    picture_kind: Mapped[str | None] = mapped_column(String(40))
    picture_width_px: Mapped[int | None]
    picture_height_px: Mapped[int | None]
    arcsec_per_px: Mapped[float | None]
    orientation: Mapped[str | None] = mapped_column(String(120))
    defocus_mm: Mapped[float | None]
    exposure_s: Mapped[float | None]
    altitude_deg: Mapped[float | None]
    azimuth_deg: Mapped[float | None]
    pier_side: Mapped[str | None] = mapped_column(String(8))
    star_role: Mapped[str | None] = mapped_column(String(8))
    frames: Mapped[int | None]


class StarCheckRow(Base):
    """A star looked at in focus, or in a corner of the field."""

    __tablename__ = "star_check"
    __table_args__ = (
        CheckConstraint(_ALTITUDE, name="altitude"),
        CheckConstraint(_maybe_one_of("pier_side", PIER_SIDES), name="pier_side"),
        CheckConstraint(_maybe_one_of("star_role", STAR_ROLES), name="star_role"),
        Index("ix_star_check_telescope", "telescope_id", "entry_id"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    telescope_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    verdict: Mapped[str] = mapped_column(String(16))
    position_angle_deg: Mapped[float | None]
    place: Mapped[str] = mapped_column(String(40))
    star: Mapped[str | None] = mapped_column(String(60))
    star_role: Mapped[str | None] = mapped_column(String(8))
    altitude_deg: Mapped[float | None]
    pier_side: Mapped[str | None] = mapped_column(String(8))


class AdjustmentRow(Base):
    """Something of the telescope that was set other than an outer screw of the secondary."""

    __tablename__ = "adjustment"
    __table_args__ = (
        CheckConstraint("(amount IS NULL) = (unit IS NULL)", name="amount"),
        CheckConstraint(_maybe_one_of("result", TURN_RESULTS), name="result"),
        Index("ix_adjustment_telescope", "telescope_id", "entry_id"),
    )

    entry_id: Mapped[int] = mapped_column(ForeignKey("entry.id"), primary_key=True)
    telescope_id: Mapped[int | None] = mapped_column(ForeignKey("part.id"))
    what: Mapped[str] = mapped_column(String(16))
    place: Mapped[str] = mapped_column(String(40))
    amount: Mapped[float | None]
    unit: Mapped[str | None] = mapped_column(String(8))
    result: Mapped[str | None] = mapped_column(String(16))
