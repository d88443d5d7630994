"""Making the tables of a new book and bringing an older one up to date, by Alembic."""

import sqlite3
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.util import CommandError
from sqlalchemy import Connection, create_engine, insert
from sqlalchemy.exc import DBAPIError, SQLAlchemyError
from sqlalchemy.pool import StaticPool

import logbook
from logbook.errors import BookRefused, NotWritten
from logbook.store.file import book_state, sqlite
from logbook.store.tables.models import BookRow


def migrations_folder() -> Path:
    """Beside the installed package, else at the top of the checkout."""
    package = Path(logbook.__file__).parent
    installed = package / "migrations"
    return installed if installed.is_dir() else package.parent / "migrations"


def migration_config(connection: Connection | None = None) -> Config:
    """What Alembic needs to know, without a file of settings."""
    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def fill_new_book(
    path: Path, application_id: int, made_utc: datetime, *, revision: str = "head"
) -> None:
    """Make a book of its own in the empty file at `path`. Raises NotWritten."""

    def name_it(connection: Connection) -> None:
        connection.execute(insert(BookRow).values(**_first_row(made_utc)))

    fill_with(path, application_id, name_it, revision=revision)


def fill_with(
    path: Path,
    application_id: int,
    rows: Callable[[Connection], None],
    *,
    revision: str = "head",
) -> None:
    """Make the tables of a book in the empty file at `path`, and its rows, in one transaction.

    Raises NotWritten if the disk refuses; what `rows` raises leaves an empty file.
    """
    try:
        with closing(sqlite.connect(path, foreign_keys=False)) as raw:
            with one_transaction(raw) as connection:
                command.upgrade(migration_config(connection), revision)
                connection.exec_driver_sql(f"PRAGMA application_id = {application_id}")
                rows(connection)
            # The header must say whose file it is, not only the log beside it.
            raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    except sqlite3.Error as error:
        raise sqlite.in_words(error, path) from error
    except DBAPIError as error:
        raise _words_of(error, path) from error


def _first_row(made_utc: datetime) -> dict[str, object]:
    return {
        "uid": str(uuid.uuid4()),
        "made_utc": made_utc,
        "made_with": f"observing-logbook {logbook.__version__}"[:40],
    }


def bring_up_to_date(path: Path, *, copies: Path | None) -> None:
    """Upgrade the book at `path` in one transaction, keeping a checked copy in `copies`.

    Raises BookRefused if the upgrade fails (the book is then as it was), NotWritten if another
    program holds the book or the disk is full.
    """
    try:
        # Rebuilding a table deletes what points at it while foreign keys are on.
        raw = sqlite.connect(path, foreign_keys=False)
        with closing(raw), one_transaction(raw) as connection:
            _upgrade_under_lock(path, raw, connection, copies)
    except sqlite3.Error as error:
        raise sqlite.in_words(error, path) from error
    except DBAPIError as error:
        raise _words_of(error, path) from error
    except (SQLAlchemyError, CommandError) as error:
        raise BookRefused(_not_upgraded(path, str(error))) from error


def _upgrade_under_lock(
    path: Path, raw: sqlite3.Connection, connection: Connection, copies: Path | None
) -> None:
    revision = _revision(raw)
    if revision >= book_state.HEAD:  # another program was quicker
        return
    if copies is not None:
        copies.mkdir(parents=True, exist_ok=True)
        day = datetime.now(UTC).strftime(book_state.STAMP)
        sqlite.back_up(path, copies / f"{path.stem} {day} before {book_state.HEAD}.db")
    command.upgrade(migration_config(connection), "head")
    broken = raw.execute("PRAGMA foreign_key_check").fetchone()
    if broken is not None:
        raise BookRefused(_not_upgraded(path, f"a row of {broken[0]} would point nowhere"))


def _revision(raw: sqlite3.Connection) -> str:
    return str(raw.execute("SELECT version_num FROM alembic_version").fetchone()[0])


def _not_upgraded(path: Path, why: str) -> str:
    return (
        f"The book at {path} could not be brought up to date ({why}). "
        "It is as it was: open it with the program that wrote it."
    )


def _words_of(error: DBAPIError, path: Path) -> NotWritten | BookRefused:
    """A full disk or a held book can be helped; a migration that fails cannot."""
    original = error.orig
    name = getattr(original, "sqlite_errorname", None) or "SQLITE_ERROR"
    if isinstance(original, sqlite3.Error) and not name.startswith(
        ("SQLITE_ERROR", "SQLITE_CONSTRAINT")
    ):
        return sqlite.in_words(original, path)
    return BookRefused(_not_upgraded(path, str(original)))


@contextmanager
def one_transaction(raw: sqlite3.Connection) -> Iterator[Connection]:
    """A SQLAlchemy connection over `raw` that holds the write lock; commits, or leaves nothing."""
    engine = create_engine("sqlite://", creator=lambda: raw, poolclass=StaticPool)
    with engine.connect() as connection:
        raw.execute("BEGIN IMMEDIATE")
        with connection.begin():
            yield connection
