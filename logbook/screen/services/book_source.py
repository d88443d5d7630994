"""Where the screen gets its book from; nothing heavy is imported before a book is asked for."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.store import opening
from logbook.store.demo.demo import fresh_demo
from logbook.store.file import book_state
from logbook.store.file.backups import copies_of, restore
from logbook.store.file.swap import aside_words
from logbook.store.integrity.damage import damage_words

if TYPE_CHECKING:
    from logbook.store.book import Book
    from logbook.store.file.backups import Copy


@dataclass(frozen=True)
class BookSource:
    """The user's book at `path`, or a fresh copy of the demo season in the folder `path`."""

    path: Path
    demo: bool = False
    clock: Callable[[], datetime] = book_state.now_utc

    def is_missing(self) -> bool:
        """Whether nothing lies where the book belongs, so that one may be made there."""
        if self.demo or self.path.is_symlink():  # a link stands for a stick that is out
            return False
        return book_state.look(self.path).condition is book_state.Condition.MISSING

    def is_first_start(self) -> bool:
        """Whether there is no book yet, nor a copy of one: one has to be made first."""
        return self.is_missing() and book_state.last_sound_copy(self.path) is None

    def newest_copy(self, passed_over: Collection[Path] = ()) -> "Copy | None":
        """The newest copy that looks sound, of a book that is lost."""
        if self.demo:
            return None
        copies = (each for each in copies_of(self.path) if each.path.suffix == ".db")
        sound = (each for each in copies if not each.words and each.path not in passed_over)
        return next(sound, None)

    def put_back(self, copy: "Copy") -> str:
        """Put a copy in the book's place; what was done, in words. Raises LogbookError."""
        aside = restore(self.path, copy.path, self.clock())
        words = f"Put back: the copy of {copy.made_utc:%Y-%m-%d %H:%M} UTC."
        return words if aside is None else f"{words} {aside_words(aside)}"

    def make(self, fill: "Callable[[Book], None]") -> str:
        """Make a book and fill it, or make none: only when the user asked for one.

        What lay in the way and was moved aside, in words; "" if nothing did.
        """
        said: list[str] = []
        opening.make_book(self.path, clock=self.clock, fill=fill, say=said.append)
        return " ".join(said)

    def damage(self) -> str:
        """How the book is damaged, in words that say what to do; "" if it is not. Slow."""
        return "" if self.demo else damage_words(self.path)

    def open(self) -> "Book":
        """Open it, brought up to date if need be. Raises BookRefused with words."""
        if self.demo:
            return opening.open_book(fresh_demo(self.path), clock=self.clock)
        return opening.open_book(self.path, clock=self.clock)

    def as_demo(self, folder: Path) -> "BookSource":
        """The demo season instead, in `folder`."""
        return BookSource(folder, demo=True, clock=self.clock)
