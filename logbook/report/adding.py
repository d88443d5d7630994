"""Keeping an entry from the shell, by the same grammar as on the screen."""

from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.store.around import gathered, night_for, telescope_of
from logbook.store.line import understand
from logbook.store.line_around import Surroundings
from logbook.store.night_context import (
    add_in_night,
    doubt_of_time,
    read_night_context,
    understand_in,
)
from logbook.store.opening import now_utc
from logbook.store.records import LATEST_TURNS
from logbook.store.targets import complete_target, find_target

if TYPE_CHECKING:
    from logbook.store.book import Book
    from logbook.store.records import NightRecord


def add_line(book: "Book", typed: str) -> str:
    """Keep a line in the night in progress; what was kept, in words. Raises BadInput."""
    night = book.nights.in_progress()
    if night is None:
        raise BadInput("No night is in progress: start `logbook` and press F10.")
    understood = understand(typed, _surroundings(book, night))
    if understood.entry is None:
        raise BadInput(understood.problem or "type what happened")
    if understood.corrects_entry_id is not None:
        book.timeline.correct(understood.corrects_entry_id, understood.entry)
    else:
        book.timeline.keep(night_for(understood.entry, night), understood.entry)
    return f"Kept: {understood.said}"


def add_line_to(book: "Book", night_id: int, typed: str, *, outside: bool) -> str:
    """Save a line in a night that may be long over; what was saved, in words.

    outside -- whether its time may be one before that night began or after it ended.
    Raises BadInput, NotFound.
    """
    context = read_night_context(book, night_id)
    understood = understand_in(context, typed, now_utc(), find_target, complete_target)
    if understood.entry is None:
        raise BadInput(understood.problem or "type what happened")
    doubt = doubt_of_time(context.night, understood.entry.happened_utc)
    if doubt and not outside:
        raise BadInput(f"Not saved: {doubt} If it is right all the same, add --outside.")
    add_in_night(book, context.night, understood)
    return f"Added to the night of {context.night.local_date}: {understood.said}"


def _surroundings(book: "Book", night: "NightRecord") -> Surroundings:
    parts = book.kit.parts()
    telescope = telescope_of(book.timeline.train_in_use(night.id), parts)
    return gathered(
        now_utc=now_utc(),
        time_zone=night.site.time_zone,
        night_date=night.local_date,
        find_object=find_target,
        complete_object=complete_target,
        parts=parts,
        trains=book.kit.trains(),
        screws=book.kit.screws(telescope.id) if telescope else (),
        turns=book.timeline.turns(telescope.id, newest=LATEST_TURNS) if telescope else (),
        timeline=book.timeline.of_night(night.id),
        renamed=book.kit.renamed(),
    )
