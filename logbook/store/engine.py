"""Sessions on a book: one transaction each, errors in words, and never on a file that is gone."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session
from sqlalchemy.pool import QueuePool

from logbook.errors import BookRefused, LogbookError
from logbook.store import sqlite
from logbook.store.models import BookRow


class Sessions:
    """Short sessions on the book at `path`. Safe to use from any thread.

    Readers never wait for the writer. A writer takes the lock when it begins, so that what it
    read is still true when it writes.
    """

    def __init__(
        self, path: Path, connect: Callable[[], sqlite3.Connection], *, read_only: bool
    ) -> None:
        self.path = path
        self.read_only = read_only
        self._connect = connect
        self._file = _identity(path)
        self._engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool)
        event.listen(self._engine, "begin", _begin)
        self._writes = self._engine.execution_options(logbook_writes=True)
        try:
            self.uid = self._read_uid(self._engine)
        except BaseException:
            self.close()
            raise

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees the book as it stands now. Raises BookRefused if it is damaged."""
        with self._in_words(), Session(self._engine, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session whose work is on disk when the block is left, or not there at all.

        Raises NotWritten if it could not be kept.
        """
        if self.read_only:
            raise sqlite.read_only(self.path)
        self._same_file()
        begun = Session(self._writes, expire_on_commit=False)
        with self._in_words(), begun as session, session.begin():
            yield session

    def raw(self) -> sqlite3.Connection:
        """A connection of one's own, past SQLAlchemy. Close it."""
        return self._connect()

    def close(self) -> None:
        self._engine.dispose()

    def _same_file(self) -> None:
        """SQLite goes on writing into a file that lost its name; nobody would see it again."""
        found = _identity(self.path)
        if found == self._file:
            return
        if found is None:
            raise sqlite.gone(self.path)
        self._engine.dispose()
        with self._in_words():
            uid = self._read_uid(self._engine)
        if uid != self.uid:
            self._engine.dispose()
            raise BookRefused(
                f"Another book lies at {self.path} now. {sqlite.STILL_HERE}: "
                "put the book back that was open, or start again with this one."
            )
        self._file = found

    def _read_uid(self, engine: Engine) -> str:
        with self._in_words(), Session(engine) as session:
            row = session.scalars(select(BookRow)).first()
        if row is None:
            raise BookRefused(f"The book at {self.path} does not say which book it is.")
        return row.uid

    @contextmanager
    def _in_words(self) -> Iterator[None]:
        try:
            yield
        except LogbookError:
            raise
        except DBAPIError as error:
            if isinstance(error.orig, sqlite3.Error):
                raise sqlite.in_words(error.orig, self.path) from error
            raise
        except sqlite3.Error as error:
            raise sqlite.in_words(error, self.path) from error


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("logbook_writes")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
