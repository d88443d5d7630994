"""The pages before and after a page of looking back: nights, years, spans of a trend."""

from datetime import timedelta
from typing import TYPE_CHECKING

from logbook.report.render.keys import PageKey
from logbook.report.render.phrases import night_key

if TYPE_CHECKING:
    from logbook.records.entries import NightRecord
    from logbook.store.book import Book

Steps = tuple[PageKey | None, PageKey | None]
NO_STEPS: Steps = (None, None)
_NEAR = timedelta(days=60)


def night_steps(book: "Book", night: "NightRecord") -> Steps:
    """The night before and the next one."""
    date = night.local_date
    near = book.past.places(date - _NEAR, date + _NEAR)
    if not near or near[0].id == night.id or near[-1].id == night.id:
        near = book.past.places()
    ids = [each.id for each in near]
    here = ids.index(night.id)
    before = night_key(near[here - 1]) if here else None
    after = night_key(near[here + 1]) if here + 1 < len(near) else None
    return before, after


def year_steps(book: "Book", year: int) -> Steps:
    """The year before and the next one, within the years of the book."""
    first, last = _years(book)
    before = PageKey("year", str(year - 1)) if year > first else None
    after = PageKey("year", str(year + 1)) if year < last else None
    return before, after


def trend_steps(book: "Book", name: str) -> Steps:
    """From all years to the last three, and on from year to year, the latest first."""
    first, last = _years(book)
    spans = ["all", "", *(str(year) for year in range(last, first - 1, -1))]
    if name not in spans:
        return PageKey("trends", ""), None
    here = spans.index(name)
    before = PageKey("trends", spans[here - 1]) if here else None
    after = PageKey("trends", spans[here + 1]) if here + 1 < len(spans) else None
    return before, after


def _years(book: "Book") -> tuple[int, int]:
    reach = book.past.first_and_last()
    return (reach[0].year, reach[1].year) if reach else (1, 0)
