"""Where the screen gets its book from; nothing heavy is imported before a book is asked for."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.store import opening

if TYPE_CHECKING:
    from logbook.store.book import Book


@dataclass(frozen=True)
class BookSource:
    """The owner's book at `path`, or a fresh copy of the demo season in the folder `path`."""

    path: Path
    demo: bool = False
    clock: Callable[[], datetime] = opening.now_utc

    def is_missing(self) -> bool:
        """Whether there is no book yet, so that one has to be made first."""
        return not self.demo and opening.look(self.path).condition is opening.Condition.MISSING

    def make(self, fill: "Callable[[Book], None]") -> None:
        """Make a book and fill it, or make none: only when the user asked for one."""
        opening.make_book(self.path, clock=self.clock, fill=fill)

    def open(self) -> "Book":
        """Open it, brought up to date if need be. Raises BookRefused with words."""
        if self.demo:
            from logbook.store.demo import fresh_demo

            return opening.open_book(fresh_demo(self.path), clock=self.clock)
        return opening.open_book(self.path, clock=self.clock)

    def as_demo(self, folder: Path) -> "BookSource":
        """The demo season instead, in `folder`."""
        return BookSource(folder, demo=True, clock=self.clock)
