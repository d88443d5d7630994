"""What is half typed in a form, as lines: in the book, or in a file where there is no book yet.

A form's draft is a line for when it was left and a line for each field that was changed, so that
fields that came and went between two releases do no harm.
"""

import json
import os
import tempfile
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

from logbook.errors import LogbookError
from logbook.sky.night.clock import iso_z

if TYPE_CHECKING:
    from logbook.screen.services.run_job import Asks, Job, Saved
    from logbook.store.book import Book
    from logbook.store.writer import DraftKeeper

T = TypeVar("T")
Lines = tuple[str, ...]
_LARGEST_FILE = 100_000


class FormDraft(Protocol):
    """Where what is half typed in one form is saved."""

    def left(self) -> Sequence[str]:
        """The lines that were put there last; none if nothing is half typed."""
        ...

    def put(self, lines: Sequence[str]) -> None:
        """Put these lines in the place of those before; none at all empties it."""
        ...

    def cleared_with(self, result: T) -> T:
        """What the form comes to, made so that saving it empties the draft."""
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
    """The values of the last draft in these lines; what cannot be read is passed over."""
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


def newest_draft(lines: Sequence[str]) -> Lines:
    """The lines of the draft that was left last; a place may hold several, each whole."""
    drafts: list[list[str]] = []
    for line in lines:
        if line.startswith("{"):
            drafts.append([])
        if drafts:
            drafts[-1].append(line)
    drafts.sort(key=lambda draft: draft[0])  # times in UTC, whose order is that of the text
    return tuple(drafts[-1]) if drafts else ()


@dataclass(frozen=True, slots=True)
class _Place:
    """What one place holds: drafts that are being saved, and those that are not."""

    saving: Lines = ()
    lines: Lines = ()

    @property
    def all(self) -> Lines:
        return (*self.saving, *self.lines)


class FormDrafts:
    """The drafts of all forms of this window, put in the book by its keeper. Any thread may call.

    What a form came to stays a draft until it is saved, but no form is filled with it meanwhile; if
    it cannot be saved it is there again, beside what was typed in the same form since.
    """

    def __init__(self, keeper: "DraftKeeper") -> None:
        self._keeper = keeper
        self._lock = threading.RLock()
        self._places: dict[str, _Place] = {}

    def of(self, place: str) -> "BookDraft":
        return BookDraft(self, place)

    def lines(self, place: str) -> Lines:
        """What was left there and is not being saved."""
        with self._lock:
            return self._at(place).lines

    def replace(self, place: str, before: Lines, after: Lines) -> None:
        """Put a draft in the place of the one that was there before; other drafts stay."""
        with self._lock:
            at = self._at(place)
            self._note(place, _Place(at.saving, _replaced(at.lines, before, after)))

    def set_out(self, place: str, draft: Lines) -> None:
        """Note that a draft is being saved."""
        with self._lock:
            at = self._at(place)
            self._note(place, _Place((*at.saving, *draft), _replaced(at.lines, draft, ())))

    def clear_in_job(self, place: str, draft: Lines) -> None:
        """Take a draft out of the book, in the transaction that saves what it says."""
        with self._lock:
            others = _replaced(self._at(place).all, draft, ())
        self._keeper.put_in_job(place, others)

    def saved(self, place: str, draft: Lines) -> None:
        """Note that a draft is saved. Call it in the writer's thread, after the commit."""
        with self._lock:
            at = self._at(place)
            left = _Place(_replaced(at.saving, draft, ()), at.lines)
            if left.all:
                self._note(place, left)
            else:  # what another window leaves there from now on is to be found
                self._places.pop(place, None)
                self._keeper.forget(place)

    def not_saved(self, place: str, draft: Lines) -> None:
        """Note that a draft could not be saved."""
        with self._lock:
            at = self._at(place)
            saving = _replaced(at.saving, draft, ())
            self._note(place, _Place(saving, (*at.lines, *draft)))

    def _at(self, place: str) -> _Place:
        known = self._places.get(place)
        return known or _Place((), self._held(place))

    def _held(self, place: str) -> Lines:
        try:
            return self._keeper.held(place)
        except LogbookError:  # what is saved next says what is wrong
            return ()

    def _note(self, place: str, at: _Place) -> None:
        self._places[place] = at
        self._keeper.put(place, at.all)


def _replaced(lines: Lines, before: Lines, after: Lines) -> Lines:
    """`after` where `before` stood; at the end if that is not there."""
    for start in range(len(lines) - len(before) + 1 if before else 0):
        if lines[start : start + len(before)] == before:
            return (*lines[:start], *after, *lines[start + len(before) :])
    return (*lines, *after)


class BookDraft:
    """The draft of one form that is open, among those of the book."""

    def __init__(self, drafts: FormDrafts, place: str) -> None:
        self._drafts, self._place = drafts, place
        self._own: Lines = ()  # what the form was filled with, or put last

    def left(self) -> Sequence[str]:
        self._own = newest_draft(self._drafts.lines(self._place))
        return self._own

    def put(self, lines: Sequence[str]) -> None:
        before, self._own = self._own, tuple(lines)
        self._drafts.replace(self._place, before, self._own)

    def cleared_with(self, result: T) -> T:
        """A job empties it in the same transaction; anything else that a form comes to, at once."""
        if not callable(result):
            self.put(())
            return result
        self._drafts.set_out(self._place, self._own)
        job = DraftedJob(cast("Job", result), self._drafts, self._place, self._own)
        return cast("T", job)


@dataclass(frozen=True, slots=True)
class DraftedJob:
    """A job that a form came to, and the draft of the form, which goes with the commit.

    A form over a sheet with a draft of its own makes one such job of another.
    """

    job: "Job"
    drafts: FormDrafts
    place: str
    draft: Lines

    def __call__(self, book: "Book") -> "str | Saved | Asks":
        result = self.job(book)
        self.drafts.clear_in_job(self.place, self.draft)
        return result

    def saved(self) -> None:
        """It is on disk. Call it in the writer's thread."""
        self.drafts.saved(self.place, self.draft)
        if isinstance(self.job, DraftedJob):
            self.job.saved()

    def not_saved(self) -> None:
        """Nothing of it is in the book."""
        self.drafts.not_saved(self.place, self.draft)
        if isinstance(self.job, DraftedJob):
            self.job.not_saved()


@contextmanager
def noting_outcome(job: object) -> Iterator[None]:
    """Around the transaction of a job: note in the draft of its form what became of it."""
    if not isinstance(job, DraftedJob):
        yield
        return
    try:
        yield
    except BaseException:
        job.not_saved()
        raise
    job.saved()


class FileDraft:
    """A draft in a small file of its own beside where the book will be, readable by the user alone.

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

    def cleared_with(self, result: T) -> T:
        self.put(())
        return result

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
