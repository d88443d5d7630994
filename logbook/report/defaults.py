"""Which site, train and night a command means when it doesn't say."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date
from typing import TYPE_CHECKING

from logbook.dates import read_date
from logbook.errors import NotFound
from logbook.sky.night.clock import night_date, zone_of, zone_or_utc
from logbook.store.file import book_state

if TYPE_CHECKING:
    from logbook.records.entries import SiteRecord, TrainRecord
    from logbook.store.book import Book

EMPTY_BOOK = "No nights yet. Start `logbook` and press F10 to begin one."


def last_site(book: Book, sites: Sequence[SiteRecord]) -> SiteRecord | None:
    """The site chosen last, else the first; None if there is none."""
    last = book.choices.get("site")
    named = (each for each in sites if each.site.name == last)
    return next(named, sites[0] if sites else None)


def last_train(book: Book, trains: Sequence[TrainRecord]) -> TrainRecord | None:
    """The train chosen last, else the first; None if there is none."""
    last = book.choices.get("train")
    named = (each for each in trains if each.train.name == last)
    return next(named, trains[0] if trains else None)


def chosen_site(book: Book, name: str | None) -> SiteRecord:
    """The site of that name, else the one chosen last, else the first. Raises NotFound."""
    found = book.sites.named(name) if name else last_site(book, book.sites.all())
    if found is None:
        raise NotFound("This book has no site yet: start `logbook` and add one.")
    return found


def chosen_train(book: Book, name: str | None) -> TrainRecord | None:
    """The train of that name, else the one chosen last, else the first; None if there is none."""
    return book.kit.train_named(name) if name else last_train(book, book.kit.trains())


def chosen_date(typed: str, site: SiteRecord) -> date:
    """The date of the evening meant, by the site's clock. Raises BadInput."""
    tonight = night_date(book_state.now_utc(), zone_of(site.site.time_zone))
    return read_date(typed, tonight, ahead=True)


def tonight_of(book: Book) -> date:
    """The date of the night it is now at the site chosen last; without a site, in UTC."""
    site = last_site(book, book.sites.all())
    return night_date(book_state.now_utc(), zone_or_utc(site.site.time_zone) if site else UTC)


def night_id_of(book: Book, typed: str | None) -> int:
    """The night of a date as typed; the last one for None. Raises BadInput, NotFound."""
    reach = book.past.first_and_last()
    if reach is None:
        raise NotFound(EMPTY_BOOK)
    evening = reach[1] if typed is None else read_date(typed, tonight_of(book))
    return book.nights.on(evening).id
