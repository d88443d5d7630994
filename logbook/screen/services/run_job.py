"""What the screen has written in a book: each job whole or not at all, shown once it is on disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from logbook.crash_log import failure_words
from logbook.screen.services.book_snapshot import BookView, read_view
from logbook.screen.services.form_draft import DraftedJob, noting_outcome

if TYPE_CHECKING:
    from logbook.records.entries import EntryRecord
    from logbook.store.book import Book
    from logbook.store.undo.take_back import Step


# Done once a job is on disk, in a thread of its own; it returns what to say, and gives up when what
# it is called with says no.
FollowUp = Callable[[Callable[[], bool]], str]


@dataclass(frozen=True, slots=True)
class Saved:
    """What to say of a job that something follows which is not in the book."""

    words: str
    follow_up: FollowUp


@dataclass(frozen=True, slots=True)
class Asks:
    """Of a job that wrote nothing: it would go back further than this run of the program."""

    step: Step


Job = Callable[["Book"], str | Saved | Asks]


@dataclass(frozen=True, slots=True)
class Prepared:
    """A job that first calculates what would hold up other programs while it may write."""

    prepare: Callable[[Book], object]
    job: Job

    def __call__(self, book: Book) -> str | Saved | Asks:
        return self.job(book)


@dataclass(frozen=True, slots=True)
class Done:
    """A job is on disk: what to say of it, and the book as it is now.

    view -- None where the book could not be read again; the words say so.
    asks -- what is to be asked first; nothing was written then.
    """

    words: str
    view: BookView | None
    asks: Step | None = None
    follow_up: FollowUp | None = None


def run_job(book: Book, job: Job) -> Done:
    """Write what a job writes as one, then read the book. For the writer's thread.

    Raises what the job raises; nothing of it is in the book then.
    """
    with noting_outcome(job):
        _prepare(book, job)
        with book.writing() as unit:
            result = job(book)
            if isinstance(result, Asks):
                return Done("", None, result.step)
            words = result if isinstance(result, str) else result.words
            unit.name(words)
    done = read_again(book, words, unit.entries)
    return replace(done, follow_up=result.follow_up) if isinstance(result, Saved) else done


def _prepare(book: Book, job: Job) -> None:
    """Calculate what a job, or the one that a form came to, calculates first."""
    while isinstance(job, DraftedJob):
        job = job.job
    if isinstance(job, Prepared):
        job.prepare(book)


def read_again(book: Book, words: str, entries: Mapping[int, EntryRecord] | None = None) -> Done:
    """The book after something was saved; `words` say what, `entries` are what is known of it.

    Raises nothing: what is on disk would be taken for not saved.
    """
    try:
        return Done(words, read_view(book, entries))
    except Exception as error:
        return Done(f"{words} The book could not be read again: {failure_words(error)}", None)
