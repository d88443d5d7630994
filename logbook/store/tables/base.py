"""What every table of a book has in common, and the tables that belong to no topic."""

from datetime import datetime

from sqlalchemy import MetaData, String
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from logbook.store.tables.utc_type import UtcDateTime


def one_of(column: str, words: tuple[str, ...]) -> str:
    """The condition that a column holds one of the words."""
    return f"{column} IN ({', '.join(repr(word) for word in words)})"


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


class DraftRow(Base):
    """Half-typed text, by the place it was typed in."""

    __tablename__ = "draft"

    slot: Mapped[str] = mapped_column(String(60), primary_key=True)
    text: Mapped[str] = mapped_column(String(4000))
    updated_utc: Mapped[datetime]


class TypedRow(Base):
    """A line that is being typed or waits to be saved, by the window and place it is typed in."""

    __tablename__ = "typed"

    window: Mapped[str] = mapped_column(String(40), primary_key=True)
    place: Mapped[str] = mapped_column(String(80), primary_key=True)
    position: Mapped[int] = mapped_column(primary_key=True)
    text: Mapped[str] = mapped_column(String(4000))
    updated_utc: Mapped[datetime]


class ChoiceRow(Base):
    """What was last chosen (site, train, view), so that the next start proposes it."""

    __tablename__ = "choice"

    name: Mapped[str] = mapped_column(String(60), primary_key=True)
    value: Mapped[str] = mapped_column(String(400))
    updated_utc: Mapped[datetime]
