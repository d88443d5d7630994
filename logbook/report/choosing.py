"""Which site, train and night a command means when it doesn't say."""

from datetime import date, datetime
from typing import TYPE_CHECKING

from logbook.errors import NotFound
from logbook.sky.clock import night_date, read_date, zone_of
from logbook.store.records import SiteRecord, TrainRecord

if TYPE_CHECKING:
    from logbook.store.book import Book


def chosen_site(book: "Book", name: str | None) -> SiteRecord:
    """The site of that name, else the one chosen last, else the first. Raises NotFound."""
    if name:
        return book.sites.named(name)
    sites = book.sites.all()
    last = book.choices.get("site")
    found = next((each for each in sites if each.site.name == last), sites[0] if sites else None)
    if found is None:
        raise NotFound("This book has no site yet: start `logbook` and add one.")
    return found


def chosen_train(book: "Book", name: str | None) -> TrainRecord | None:
    """The train of that name, else the one chosen last, else the first; None if there is none."""
    if name:
        return book.kit.train_named(name)
    trains = book.kit.trains()
    last = book.choices.get("train")
    return next((each for each in trains if each.train.name == last), trains[0] if trains else None)


def chosen_date(typed: str, site: SiteRecord, now_utc: datetime) -> date:
    """The date of the evening meant, by the site's clock. Raises BadInput."""
    return read_date(typed, night_date(now_utc, zone_of(site.site.time_zone)))
