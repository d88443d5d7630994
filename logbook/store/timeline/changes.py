"""What came into a book since it was last read, so that a screen need not read all of it again."""

import sqlite3
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from threading import Lock

from sqlalchemy import func, select

from logbook.store.session.sessions import Sessions
from logbook.store.tables.models import EntryRow, UnitRow
from logbook.store.tables.plain_sql import connection_of

_CHANGES = (
    "SELECT unit_id, table_name, row_key FROM unit_change WHERE unit_id >= ? ORDER BY id LIMIT ?"
)
_MOST_ROWS = 2000  # after more than these it is quicker to read everything


@dataclass(frozen=True, slots=True)
class News:
    """What was saved after a mark, by whichever program.

    mark -- id of the newest unit of all; 0 for a book without any.
    tables -- those whose rows were added, changed or deleted.
    entry_ids -- of the entries that were added, oldest first.
    """

    mark: int
    tables: frozenset[str] = frozenset()
    entry_ids: tuple[int, ...] = ()


def news_since(sessions: Sessions, mark: int) -> News | None:
    """What came after that unit; None where that can't be known, or is too much."""
    with sessions.reading() as session:
        rows = connection_of(session).exec_driver_sql(_CHANGES, (mark, _MOST_ROWS)).all()
    if not rows or rows[0].unit_id != mark or len(rows) == _MOST_ROWS:
        return None
    new = [row for row in rows if row.unit_id > mark]
    return News(
        mark=rows[-1].unit_id,
        tables=frozenset(row.table_name for row in new),
        entry_ids=tuple(int(row.row_key) for row in new if row.table_name == "entry"),
    )


def newest_unit_id(sessions: Sessions) -> int:
    """The mark of a book as it is; 0 if nothing was saved in it yet."""
    with sessions.reading() as session:
        return session.scalar(select(func.max(UnitRow.id))) or 0


def newest_entry_id(sessions: Sessions) -> int:
    """Another number whenever an entry was added; 0 without entries."""
    with sessions.reading() as session:
        return session.scalar(select(func.max(EntryRow.id))) or 0


# Whatever is saved leaves a unit; drafts and choices of the program itself leave none.
_LAST_UNIT = "SELECT max(id) FROM unit"


class Watch:
    """Notices whether anything came into a book, by this program or another. Close it.

    Any thread may ask and any may close it: one waits for the other, because a connection that is
    closed while it is in use brings the whole program down.

    SQLite's `data_version` costs some microseconds and changes when another connection saved
    something; only then is anything read.
    """

    def __init__(self, connect: Callable[[], sqlite3.Connection]) -> None:
        self._connect = connect
        self._lock = Lock()
        self._closed = False
        self._connection: sqlite3.Connection | None = None
        self._version: object = None
        self._last_unit: object = None

    def changed(self) -> bool:
        """Whether something came since the last call; the first call, and a file that cannot be
        read just now, say no."""
        with self._lock:
            try:
                return not self._closed and self._look()
            except sqlite3.Error:
                self._let_go()
                return False

    def close(self) -> None:
        with self._lock:
            self._closed = True
            self._let_go()

    def _let_go(self) -> None:
        if self._connection is not None:
            with suppress(sqlite3.Error):
                self._connection.close()
        self._connection = None

    def _look(self) -> bool:
        if self._connection is None:
            self._connection = self._connect()
        version = self._connection.execute("PRAGMA data_version").fetchone()
        if version == self._version:
            return False
        self._version = version
        last_unit = self._connection.execute(_LAST_UNIT).fetchone()
        before, self._last_unit = self._last_unit, last_unit
        return before is not None and last_unit != before
