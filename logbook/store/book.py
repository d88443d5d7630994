"""An open book: everything the other packages may read from it and save in it.

Only frozen values of `logbook.records` go in and out. A book may be read from any thread; what is
saved goes through one writer thread (`writer.py`), so that the screen never waits for the disk.
"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.store.choosing.holdings import Holdings
from logbook.store.choosing.limit_sets import LimitSets
from logbook.store.choosing.projects import Projects
from logbook.store.choosing.running_orders import RunningOrders
from logbook.store.file import book_state, sqlite
from logbook.store.file.integrity import damage
from logbook.store.frames.add import FrameFiles
from logbook.store.history.collimation import Collimation
from logbook.store.history.learned import Learned
from logbook.store.history.looking_back import LookingBack
from logbook.store.integrity.check import findings
from logbook.store.kit.kit import KitStore
from logbook.store.kit.sites import Sites
from logbook.store.search.search import Search
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import Unit
from logbook.store.timeline.changes import News, Watch, newest_unit_id, news_since
from logbook.store.timeline.drafts import Choices, Drafts
from logbook.store.timeline.nights import Nights
from logbook.store.timeline.timeline import Timeline
from logbook.store.undo.take_back import Units
from logbook.store.upkeep.rules import Upkeep

if TYPE_CHECKING:
    from logbook.store.exchange.export import Exported
    from logbook.store.integrity.rows import Finding


class Book:
    """A book that was found sound in its form. Made by `opening.open_book`; close it.

    clock -- gives the instant at which something is recorded.
    close -- called after the book was closed.
    """

    def __init__(
        self,
        path: Path,
        *,
        connect: Callable[[], sqlite3.Connection],
        read_only: bool,
        clock: Callable[[], datetime],
        close: Callable[[], None],
    ) -> None:
        self._sessions = Sessions(path, connect, read_only=read_only, clock=clock)
        self._close = close
        self.path = path
        self.read_only = read_only
        self.uid = self._sessions.uid
        self.sites = Sites(self._sessions, clock)
        self.kit = KitStore(self._sessions, clock)
        self.nights = Nights(self._sessions, clock)
        self.timeline = Timeline(self._sessions, clock)
        self.collimation = Collimation(self._sessions)
        self.frame_files = FrameFiles(self._sessions, clock)
        self.drafts = Drafts(self._sessions, clock)
        self.choices = Choices(self._sessions, clock)
        self.search = Search(self._sessions)
        self.upkeep = Upkeep(self._sessions, clock)
        self.holdings = Holdings(self._sessions)
        self.learned = Learned(self._sessions)
        self.projects = Projects(self._sessions, clock, self.holdings)
        self.limit_sets = LimitSets(self._sessions, clock)
        self.running_orders = RunningOrders(self._sessions, clock)
        self.units = Units(self._sessions, clock)
        self.past = LookingBack(self._sessions)

    @contextmanager
    def writing(self, words: str = "") -> Iterator[Unit]:
        """All that is written inside, in this thread, is on disk when the block is left, or none.

        words -- what is saved, for an undo to say. Raises NotWritten if it could not be saved.
        """
        with self._sessions.writing(words) as session:
            yield session.unit

    @contextmanager
    def reading(self) -> Iterator[None]:
        """All that is read inside, in this thread, is of one instant."""
        with self._sessions.reading():
            yield

    def whole_check(self) -> str:
        """What is wrong with the file, in words that say what to do; "" if nothing.

        Reads the whole file (0.5 s for 70 MB): call it in the background.
        """
        try:
            with closing(self._sessions.raw()) as connection:
                found = "; ".join(damage(connection))
        except (sqlite3.Error, UnicodeDecodeError) as error:
            found = str(error) if sqlite.is_damage(error) else ""
        return book_state.damaged_words(self.path, found) if found else ""

    def newest_unit_id(self) -> int:
        """The mark that `news_since` counts from; 0 if nothing was saved yet."""
        return newest_unit_id(self._sessions)

    def news_since(self, mark: int) -> News | None:
        """What was saved after the unit with that id; None where that can't be known."""
        return news_since(self._sessions, mark)

    def watch(self) -> Watch:
        """Notices when something came into the book, from this program or another. Close it."""
        return Watch(self._sessions.raw)

    def findings(self) -> "tuple[Finding, ...]":
        """Everything found wrong in the file and its rows; empty for a sound book. Slow."""
        return findings(self._sessions)

    def export(self, folder: Path) -> "Exported":
        """Write the whole book as plain files. Raises BadInput, NotWritten."""
        from logbook.store.exchange.export import export_book

        return export_book(self._sessions, folder)

    def close(self) -> None:
        """Let go of the file. Nothing depends on it: what was saved is on disk already."""
        self._sessions.close()
        self._close()

    def __enter__(self) -> "Book":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
