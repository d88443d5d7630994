"""What was saved as one. A unit and its changes are only ever added; triggers refuse the rest."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from logbook.store.tables.base import Base


class UnitRow(Base):
    """One job of the program, written whole; one undo takes all of it back."""

    __tablename__ = "unit"
    __table_args__ = (
        CheckConstraint("cause IS NULL OR cause IN ('undo', 'redo')", name="cause"),
        Index("ix_unit_run_uid", "run_uid"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    uid: Mapped[str] = mapped_column(String(36), unique=True)
    run_uid: Mapped[str] = mapped_column(String(36))  # one for each start of the program
    made_utc: Mapped[datetime]
    words: Mapped[str] = mapped_column(String(400))
    cause: Mapped[str | None] = mapped_column(String(16))
    undoes_id: Mapped[int | None] = mapped_column(ForeignKey("unit.id"))


class UnitChangeRow(Base):
    """A row that a unit added, changed or deleted, as it was and as it became.

    Rows that are only ever added are named without their content: they still hold it.
    """

    __tablename__ = "unit_change"
    __table_args__ = (Index("ix_unit_change_unit_id", "unit_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    unit_id: Mapped[int] = mapped_column(ForeignKey("unit.id"))
    table_name: Mapped[str] = mapped_column(String(40))
    row_key: Mapped[str] = mapped_column(String(80))
    before_json: Mapped[str | None] = mapped_column(Text)
    after_json: Mapped[str | None] = mapped_column(Text)
