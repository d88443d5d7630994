"""Frames without files, and adding them to a book as the program does."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from logbook.frames.folder_watch import Reading
from logbook.frames.header import Frame
from logbook.store.book import Book
from logbook.store.frames.add import Added
from logbook.store.frames.plan import Plan, Wish, plan_frames
from tests.clock import EVENING


def frame(minutes: float, **values: object) -> Frame:
    """A frame begun so long after the evening's start; its identity is its time and values."""
    at = EVENING + timedelta(minutes=minutes)
    plain = Frame(
        path=Path(f"{minutes:g}.fits"),
        identity=f"{minutes}{sorted(values.items())}",
        exposed_utc=at,
        exposure_s=180.0,
        object_name="M31",
        filter_name="Ha",
        gain=100.0,
        binning=1,
    )
    return replace(plain, **values)  # type: ignore[arg-type]


def some(count: int, start: float = 0.0, **values: object) -> list[Frame]:
    """Frames every four minutes."""
    return [frame(start + 4 * n, **values) for n in range(count)]


def plan_of(book: Book, frames: Sequence[Frame], wish: Wish | None = None) -> Plan:
    return plan_frames(book, Reading(frames=list(frames)), wish or Wish())


def add_all(book: Book, frames: Sequence[Frame], wish: Wish | None = None) -> list[Added]:
    """Plan and add, as one go of the command does."""
    plan = plan_of(book, frames, wish)
    return [added for each in plan.to_add if (added := book.frame_files.add(each))]
