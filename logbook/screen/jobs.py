"""What the screen has written in a book: each job whole or not at all, told once it is on disk."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from logbook.errors import LogbookError
from logbook.screen.form_draft import noting_outcome
from logbook.screen.view import BookView, read_view

if TYPE_CHECKING:
    from logbook.store.book import Book
    from logbook.store.taking_back import Step


@dataclass(frozen=True, slots=True)
class Saved:
    """What to say of a job that does more than write.

    afterwards -- done once it is on disk; what it says is added to the words.
    """

    words: str
    afterwards: Callable[[], str]


@dataclass(frozen=True, slots=True)
class Asks:
    """Of a job that wrote nothing: it would go back further than this run of the program."""

    step: Step


Job = Callable[["Book"], str | Saved | Asks]


@dataclass(frozen=True, slots=True)
class Done:
    """A job is on disk: what to say of it, and the book as it is now.

    view -- None where the book could not be read again; the words say so.
    asks -- what is to be asked first; nothing was written then.
    """

    words: str
    view: BookView | None
    asks: Step | None = None


def run_job(book: Book, job: Job) -> Done:
    """Write what a job writes as one, then read the book. For the writer's thread.

    Raises what the job raises; nothing of it is in the book then.
    """
    with noting_outcome(job), book.writing() as unit:
        result = job(book)
        if isinstance(result, Asks):
            return Done("", None, result.step)
        words = result if isinstance(result, str) else result.words
        unit.name(words)
    if isinstance(result, Saved):
        words = f"{words} {result.afterwards()}"
    try:
        return Done(words, read_view(book, unit.entries))
    except LogbookError as error:
        return Done(f"{words} The book could not be read again: {error}", None)
