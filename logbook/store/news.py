"""What came into a book since it was last read, so that a screen need not read all of it again."""

import sqlite3
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from threading import Lock

from sqlalchemy import func, select
from sqlalchemy.orm import aliased

from logbook.store.engine import Sessions
from logbook.store.models import EntryRow, NightRow


@dataclass(frozen=True, slots=True)
class News:
    """The entries that came after a mark.

    mark -- id of the newest entry of all; 0 for a book without any.
    nights -- ids of the nights that they belong to, or were moved out of.
    replaced -- ids of the entries whose place they took.
    night_mark -- another value whenever a night was begun, ended or taken up again.
    """

    mark: int
    count: int
    nights: frozenset[int]
    replaced: frozenset[int]
    night_mark: tuple[object, ...]


def news_since(sessions: Sessions, mark: int) -> News:
    """What came after the entry with that id. Entries are only added, so their ids only grow."""
    old = aliased(EntryRow)
    new = (
        select(EntryRow.id, EntryRow.night_id, EntryRow.supersedes_id, old.night_id.label("left"))
        .outerjoin(old, old.id == EntryRow.supersedes_id)
        .where(EntryRow.id > mark)
    )
    ended = NightRow.ended_utc
    nights = select(func.count(), func.max(NightRow.id), func.count(ended), func.max(ended))
    with sessions.reading() as session:
        rows = session.execute(new.order_by(EntryRow.id)).all()
        night_mark = tuple(session.execute(nights.select_from(NightRow)).one())
    return News(
        mark=rows[-1].id if rows else mark,
        count=len(rows),
        nights=frozenset(each for row in rows for each in (row.night_id, row.left) if each),
        replaced=frozenset(row.supersedes_id for row in rows if row.supersedes_id is not None),
        night_mark=night_mark,
    )


def newest_entry_id(sessions: Sessions) -> int:
    """The mark of a book as it is; 0 without entries."""
    with sessions.reading() as session:
        return session.scalar(select(func.max(EntryRow.id))) or 0


# Everything the screen shows but what is being typed, which changes at every key.
_STAMP = """
SELECT (SELECT max(id) FROM entry), (SELECT max(id) FROM night),
       (SELECT count(ended_utc) || ' ' || max(ended_utc) FROM night),
       (SELECT max(updated_utc) FROM choice), (SELECT max(id) FROM running_order),
       (SELECT count(retired_utc) || ' ' || group_concat(name) FROM site),
       (SELECT max(id) FROM part_revision), (SELECT count(retired_utc) FROM part),
       (SELECT max(id) FROM train_revision),
       (SELECT count(retired_utc) || ' ' || group_concat(name) FROM train),
       (SELECT group_concat(name || clock_hour) FROM screw),
       (SELECT count(*) || ' ' || max(id) FROM limit_set)
"""


class Watch:
    """Tells whether anything came into a book, by this program or another. Close it.

    Any thread may ask and any may close it: one waits for the other, because a connection that is
    closed while it is in use brings the whole program down.

    SQLite's `data_version` costs some microseconds and changes when another connection kept
    something; only then is anything read.
    """

    def __init__(self, connect: Callable[[], sqlite3.Connection]) -> None:
        self._connect = connect
        self._lock = Lock()
        self._closed = False
        self._connection: sqlite3.Connection | None = None
        self._version: object = None
        self._stamp: object = None

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
        stamp = self._connection.execute(_STAMP).fetchone()
        before, self._stamp = self._stamp, stamp
        return before is not None and stamp != before
