"""What was counted night by night over the whole book, cached until a night gets an entry."""

from collections.abc import Callable
from threading import Lock
from typing import Generic, TypeVar

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from logbook.store.tables.former_names import filter_bearers
from logbook.store.tables.models import EntryRow

V = TypeVar("V")
T = TypeVar("T")

_FEW = 500  # nights; where more than these got entries it is quicker to count all anew


class KeptByNight(Generic[T]):
    """Counts every night once; after that only nights that got entries, whoever wrote them.

    That is enough because entries are only added: a correction, a withdrawal, an undo is an entry
    too, and the night of the one that it replaces counts with it. Only the name of a filter may
    change for all of them. Safe to use from any thread.
    """

    def __init__(
        self,
        count: Callable[[Session, list[int] | None], T],
        put_in: Callable[[T, list[int], T], T],
    ) -> None:
        """count -- what is in these nights, or in all of them.
        put_in -- what was known, with what was counted in some nights in the place of theirs.
        """
        self._count = count
        self._put_in = put_in
        self._lock = Lock()
        self._mark = 0  # the newest entry that was counted
        self._names: object = ()  # of filters that were renamed, when it was counted
        self._found: T | None = None

    def all(self, session: Session) -> T:
        """What is in every night, as the book stands for who reads. Not to be changed."""
        newest = session.scalar(select(func.max(EntryRow.id))) or 0
        names = filter_bearers(session)
        with self._lock:
            if self._found is None or newest < self._mark or names != self._names:
                self._found = self._count(session, None)
            elif newest > self._mark:
                self._found = self._counted_on(session, self._found)
            self._mark, self._names = newest, names
            return self._found

    def _counted_on(self, session: Session, known: T) -> T:
        added = EntryRow.id > self._mark
        replaced = EntryRow.id.in_(select(EntryRow.supersedes_id).where(added))
        since = select(EntryRow.night_id).where(or_(added, replaced)).distinct()
        nights = [night_id for night_id in session.scalars(since) if night_id is not None]
        if len(nights) > _FEW:
            return self._count(session, None)
        return self._put_in(known, nights, self._count(session, nights))


def by_night(
    count: Callable[[Session, list[int] | None], dict[int, V]],
) -> KeptByNight[dict[int, V]]:
    """Keeps what is counted into a dictionary by night id."""

    def put_in(known: dict[int, V], nights: list[int], anew: dict[int, V]) -> dict[int, V]:
        gone = set(nights)
        return {each: found for each, found in known.items() if each not in gone} | anew

    return KeptByNight(count, put_in)
