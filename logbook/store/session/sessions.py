"""Sessions on a book: one transaction each, errors in words, and never on a file that is gone."""

import sqlite3
import threading
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from sqlalchemy import Connection, Engine, create_engine, event, select
from sqlalchemy.engine import ExceptionContext
from sqlalchemy.exc import DBAPIError, PendingRollbackError
from sqlalchemy.orm import Session
from sqlalchemy.pool import QueuePool

from logbook.errors import BookRefused, LogbookError, NotWritten
from logbook.store.file import sqlite
from logbook.store.session.units import Unit, UnitSession, keep_unit
from logbook.store.tables.models import BookRow
from logbook.store.tables.plain_sql import PlainRow, connection_of, first_row

_ONLY_READS = f"Not saved: the program was only reading there, by a fault. {sqlite.STILL_HERE}."


class _Joined(threading.local):
    """What is open in this thread, for what is called inside it to join."""

    writes: UnitSession | None = None
    reads: Session | None = None
    lost_by: sqlite3.Error | None = None  # what made SQLite roll a whole transaction back


class Sessions:
    """Short sessions on the book at `path`. Safe to use from any thread.

    Readers never wait for the writer. A writer takes the lock when it begins, so that what it
    read is still true when it writes. What is opened inside another in the same thread joins its
    transaction: it sees what that wrote, and is on disk only when that is left.

    run_uid -- names this start of the program: what it saved is known as its own by it.
    """

    def __init__(
        self,
        path: Path,
        connect: Callable[[], sqlite3.Connection],
        *,
        read_only: bool,
        clock: Callable[[], datetime],
    ) -> None:
        self.path = path
        self.read_only = read_only
        self.run_uid = str(uuid.uuid4())
        self._clock = clock
        self._joined = _Joined()
        self._connect = connect
        self._file = _identity(path)
        self._engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool)
        event.listen(self._engine, "begin", _begin)
        event.listen(self._engine, "handle_error", self._end_lost_transaction)
        _plain_savepoints(self._engine)
        self._writes = self._engine.execution_options(logbook_writes=True)
        self._writes_at_once = self._writes.execution_options(logbook_at_once=True)
        try:
            self.uid = self._read_uid(self._engine)
        except BaseException:
            self.close()
            raise

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees the book as it stands now. Raises BookRefused if it is damaged.

        Everything read inside it is of one instant.
        """
        if self._joined.writes is not None:
            with self._reading_part_of(self._joined.writes) as session:
                yield session
        elif self._joined.reads is not None:
            yield self._joined.reads
        else:
            with self._in_words(), Session(self._engine, expire_on_commit=False) as session:
                self._joined.reads = session
                try:
                    yield session
                finally:
                    self._joined.reads = None

    def first_row(self, statement: str, *values: object) -> PlainRow | None:
        """The first row that a statement of one's own text finds now, without a session for it."""
        if self._joined.writes is None:
            with self.reading() as session:
                return first_row(session, statement, *values)
        self._joined.writes.flush()
        with self._in_words():
            return first_row(self._joined.writes, statement, *values)

    @contextmanager
    def writing(self, words: str = "", *, at_once: bool = False) -> Iterator[UnitSession]:
        """A session whose work is on disk when the block is left, or not there at all.

        words -- what is saved, for an undo to say.
        at_once -- do not wait while another program writes.

        Raises NotWritten if it could not be saved.
        """
        if self._joined.writes is not None:
            with self._part_of(self._joined.writes, words) as session:
                yield session
            return
        if self._joined.reads is not None:
            raise NotWritten(_ONLY_READS)
        if self.read_only:
            raise sqlite.read_only(self.path)
        self._same_file()
        self._joined.lost_by = None
        writes = self._writes_at_once if at_once else self._writes
        begun = UnitSession(Unit(words), bind=writes)
        with self._in_words(), begun as session, session.begin():
            self._joined.writes = session
            try:
                yield session
                session.flush()
                keep_unit(session, self.run_uid, self._clock())
            finally:
                self._joined.writes = None

    @contextmanager
    def _reading_part_of(self, whole: UnitSession) -> Iterator[Session]:
        """A session that sees what was written so far in the same transaction."""
        whole.flush()
        # Closing it leaves the transaction as it is.
        how: Literal["rollback_only"] = "rollback_only"
        with (
            self._in_words(),
            Session(
                connection_of(whole), expire_on_commit=False, join_transaction_mode=how
            ) as part,
        ):
            yield part

    @contextmanager
    def _part_of(self, whole: UnitSession, words: str) -> Iterator[UnitSession]:
        """A session of its own in the same transaction; what fails in it is not in the whole."""
        whole.flush()
        how = "create_savepoint"
        part = UnitSession(whole.unit, bind=connection_of(whole), join_transaction_mode=how)
        noted, named = len(whole.unit.changes), whole.unit.words
        whole.unit.name(words)
        self._joined.writes = part
        try:
            with self._in_words(), part as session, session.begin():
                yield session
        except BaseException:
            del whole.unit.changes[noted:]
            whole.unit.words = named
            raise
        finally:
            self._joined.writes = whole

    def raw(self) -> sqlite3.Connection:
        """A connection of one's own, past SQLAlchemy. Close it."""
        return self._connect()

    def close(self) -> None:
        self._engine.dispose()

    def _end_lost_transaction(self, context: ExceptionContext) -> None:
        """Have nothing more done in a transaction that SQLite rolled back whole by itself.

        It does so when it cannot write, and the savepoints are gone; each statement that came next
        would be on disk at once.
        Source: sqlite.org/lang_transaction.html, 3.
        """
        error, connection = context.original_exception, context.connection
        if not isinstance(error, sqlite3.Error) or connection is None or connection.invalidated:
            return
        raw = connection.connection.driver_connection
        was_begun = context.statement is None or not context.statement.startswith("BEGIN")
        if was_begun and isinstance(raw, sqlite3.Connection) and not raw.in_transaction:
            self._joined.lost_by = error
            context.is_disconnect = True
            context.invalidate_pool_on_disconnect = False

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
        except PendingRollbackError as error:
            if self._joined.lost_by is None:
                raise
            raise sqlite.in_words(self._joined.lost_by, self.path) from error
        except (sqlite3.Error, UnicodeDecodeError) as error:  # it may quote what is no text
            raise sqlite.in_words(error, self.path) from error


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _plain_savepoints(engine: Engine) -> None:
    """Savepoints as plain text: SQLAlchemy makes a new statement of each, at ten times the cost."""

    def does(words: str) -> Callable[[Connection, str], object]:
        return lambda connection, name: connection.exec_driver_sql(f"{words} {name}")

    dialect: Any = engine.dialect
    dialect.do_savepoint = does("SAVEPOINT")
    dialect.do_rollback_to_savepoint = does("ROLLBACK TO SAVEPOINT")
    dialect.do_release_savepoint = does("RELEASE SAVEPOINT")


def _begin(connection: Connection) -> None:
    options = connection.get_execution_options()
    if not options.get("logbook_writes"):
        connection.exec_driver_sql("BEGIN")
        return
    at_once = options.get("logbook_at_once", False)
    if at_once:
        connection.exec_driver_sql(f"PRAGMA busy_timeout={sqlite.AT_ONCE_MS}")
    try:
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    finally:
        if at_once:
            connection.exec_driver_sql(f"PRAGMA busy_timeout={sqlite.BUSY_TIMEOUT_MS}")
