"""Keeping an entry from the shell, by the same grammar as on the screen."""

from typing import TYPE_CHECKING

from logbook.entryline.context import Surroundings
from logbook.entryline.context_of_book import gathered, telescope_of
from logbook.entryline.understand import understand
from logbook.errors import BadInput, BookRefused
from logbook.records.entries import LATEST_TURNS
from logbook.report.defaults import last_site, last_train
from logbook.sky.night.clock import night_date, zone_of
from logbook.store.choosing.catalogue_targets import complete_target, find_target
from logbook.store.file.book_state import now_utc
from logbook.store.night_context import (
    doubt_of_time,
    read_night_context,
    understand_in,
)
from logbook.store.save_line import save_line

if TYPE_CHECKING:
    from logbook.records.entries import NightRecord, SiteRecord
    from logbook.store.book import Book


def refuse_damaged(book: "Book") -> None:
    """Look at the whole file, as the screen does at its start. Raises BookRefused."""
    words = book.whole_check()
    if words:
        raise BookRefused(words)


def add_line(book: "Book", typed: str) -> str:
    """Save a line as the screen would: in the night in progress, or by day if it may be.

    What was saved, in words. Raises BadInput, NotWritten.
    """
    return save_line(book, understand(typed, _surroundings(book)))


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
    return save_line(book, understood, night=context.night)


def _surroundings(book: "Book") -> Surroundings:
    """Of the night in progress; by day of the site and the train chosen last."""
    now, night = now_utc(), book.nights.in_progress()
    parts, trains, sites = book.kit.parts(), book.kit.trains(), book.sites.all()
    zone = _zone_name(night, last_site(book, sites))
    in_use = last_train(book, trains) if night is None else book.timeline.train_in_use(night.id)
    telescope = telescope_of(in_use, parts)
    return gathered(
        now_utc=now,
        time_zone=zone,
        night_date=night_date(now, zone_of(zone)) if night is None else night.local_date,
        find_object=find_target,
        complete_object=complete_target,
        parts=parts,
        trains=trains,
        screws=book.kit.screws(telescope.id) if telescope else (),
        turns=book.timeline.turns(telescope.id, newest=LATEST_TURNS) if telescope else (),
        timeline=book.timeline.of_night(night.id) if night is not None else (),
        renamed=book.kit.renamed(),
    )


def _zone_name(night: "NightRecord | None", chosen: "SiteRecord | None") -> str:
    if night is not None:
        return night.site.time_zone
    return chosen.site.time_zone if chosen is not None else "UTC"
