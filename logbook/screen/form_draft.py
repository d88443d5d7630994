"""What is half typed in a form, as lines; and where a form that has no book yet keeps it.

A form's draft is a line for when it was left and a line for each field that was changed, so that
fields that came and went between two releases do no harm.
"""

import json
import os
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

from logbook.errors import LogbookError, NotWritten
from logbook.sky.clock import iso_z

if TYPE_CHECKING:
    from logbook.store.book import Book
    from logbook.store.writer import DraftKeeper

T = TypeVar("T")
_LARGEST_FILE = 100_000


class FormDraft(Protocol):
    """The place where one form keeps what is half typed in it."""

    def left(self) -> Sequence[str]:
        """The lines that were put there last; none if nothing is half typed."""
        ...

    def put(self, lines: Sequence[str]) -> None:
        """Keep these lines in the place of those before; none at all empties it."""
        ...

    def cleared_with(self, job: T) -> T:
        """What the form comes to, that empties the draft once it is saved."""
        ...


@dataclass(frozen=True, slots=True)
class LeftForm:
    """What was typed into a form before it was left."""

    values: Mapping[str, str] = field(default_factory=dict)
    left_utc: datetime | None = None


def draft_lines(values: Mapping[str, str], now: datetime) -> tuple[str, ...]:
    """Values by field name as lines of a draft; nothing typed is no line."""
    if not values:
        return ()
    pairs = (json.dumps([name, text], ensure_ascii=False) for name, text in values.items())
    return (json.dumps({"left": iso_z(now)}), *pairs)


def read_draft(lines: Sequence[str]) -> LeftForm:
    """The values of the newest draft in these lines; what cannot be read is passed over."""
    values: dict[str, str] = {}
    left_utc: datetime | None = None
    for line in lines:
        with suppress(ValueError, TypeError, KeyError):
            match json.loads(line):
                case {"left": str(when)}:
                    left_utc, values = datetime.fromisoformat(when), {}
                case [str(name), str(text)]:
                    values[name] = text
    return LeftForm(values, left_utc)


class BookDraft:
    """A draft among those of the book, under this window of the program.

    known -- what was put in this run by place, which may be newer than what the book holds.
    """

    def __init__(
        self,
        book: "Book",
        keeper: "DraftKeeper",
        window: str,
        place: str,
        known: dict[str, tuple[str, ...]],
    ) -> None:
        self._book, self._keeper, self._window = book, keeper, window
        self._place, self._known = place, known

    def left(self) -> Sequence[str]:
        """In this window, else in one that has ended."""
        if self._place not in self._known:
            self._known[self._place] = self._in_book()
        return self._known[self._place]

    def _in_book(self) -> tuple[str, ...]:
        drafts = self._book.drafts
        try:
            drafts.take_over(self._place, self._window)
            return drafts.get(self._window, self._place)
        except NotWritten:  # another program writes: taken over with the next key
            return drafts.at(self._place)
        except LogbookError:  # what is kept next says what is wrong
            return ()

    def put(self, lines: Sequence[str]) -> None:
        self._known[self._place] = tuple(lines)
        self._keeper.put(self._place, lines)

    def cleared_with(self, job: T) -> T:
        """A job empties it in the same writing; anything else that a form comes to, at once."""
        if not callable(job):
            self.put(())
            return job

        def saved(book: "Book") -> object:
            result = job(book)
            book.drafts.clear(self._window, self._place)
            self._keeper.forget(self._place)
            self._known[self._place] = ()
            return result

        return cast("T", saved)


class FileDraft:
    """A draft in a small file of its own beside where the book will be, for its owner's eyes.

    It is made under a free name that nobody can know before, and takes its own name whole, so that
    no link of another's is written through and a kill leaves no half of it.
    """

    def __init__(self, book_path: Path) -> None:
        self.path = book_path.with_name(f".{book_path.name}.first-start")
        self.failed = ""

    def left(self) -> Sequence[str]:
        try:
            descriptor = os.open(self.path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0))
            with open(descriptor, encoding="utf-8") as opened:
                return opened.read(_LARGEST_FILE).splitlines()
        except (OSError, ValueError):
            return ()

    def put(self, lines: Sequence[str]) -> None:
        try:
            if lines:
                self._write("\n".join(lines))
            else:
                self._remove()
            self.failed = ""
        except OSError as error:
            self.failed = f"What you type here cannot be saved yet ({error.strerror})."

    def cleared_with(self, job: T) -> T:
        self.put(())
        return job

    def _remove(self) -> None:
        """With what a kill left of it."""
        for each in (self.path, *self.path.parent.glob(f"{self.path.name}.*")):
            each.unlink(missing_ok=True)

    def _write(self, text: str) -> None:
        self.path.parent.mkdir(parents=True, exist_ok=True)
        descriptor, made = tempfile.mkstemp(prefix=f"{self.path.name}.", dir=self.path.parent)
        try:
            with open(descriptor, "w", encoding="utf-8") as opened:
                opened.write(text)
            os.replace(made, self.path)
        except OSError:
            with suppress(OSError):
                os.unlink(made)
            raise
