"""What the readings of the night in progress say just now, for the reminders."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from logbook.kit.thermal.focus_fit import Suggested

if TYPE_CHECKING:
    from logbook.kit.thermal.dew_point import DewNow
    from logbook.store.book import Book


@dataclass(frozen=True, slots=True)
class Lessons:
    """suggested -- where to focus now, once the book has learned it; since_k -- how far the air
    went since the last focus; None each where it is not known."""

    suggested: Suggested | None = None
    since_k: float | None = None
    dew: DewNow | None = None


def read_lessons(book: Book, night_id: int) -> Lessons:
    """For worker threads. Raises LogbookError."""
    suggested = book.learned.suggested_focus(night_id)
    return Lessons(
        suggested if isinstance(suggested, Suggested) else None,
        book.learned.since_focus(night_id),
        book.learned.dew(night_id),
    )
