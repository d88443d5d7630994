"""The pages of looking back by their keys: read as data, told as a paper."""

from typing import TYPE_CHECKING

from logbook.dates import read_date, read_dates
from logbook.errors import BadInput, NotFound
from logbook.report.compare.compare import Comparison, compare_dates, compare_with_last_good
from logbook.report.compare.page import compare_paper
from logbook.report.defaults import tonight_of
from logbook.report.pages.night import NightWhole, night_paper, read_whole_night
from logbook.report.pages.object import ObjectPage, object_paper, read_object
from logbook.report.pages.part import PartPage, part_paper, read_part
from logbook.report.pages.train import TrainHistory, read_train, train_paper
from logbook.report.pages.trends import Trends, read_trends_of, trends_paper
from logbook.report.pages.year import YearPage, read_year, year_paper
from logbook.report.render.document import Paper
from logbook.report.render.keys import PageKey
from logbook.text import clean

if TYPE_CHECKING:
    from logbook.store.book import Book

PageData = NightWhole | Comparison | ObjectPage | PartPage | TrainHistory | YearPage | Trends
EMPTY_BOOK = "No nights yet. Start `logbook` and press F10 to begin one."


def read_page(book: "Book", key: PageKey) -> PageData:
    """A page as data. Raises BadInput and NotFound, in words that say what to do."""
    if key.kind == "night":
        return read_whole_night(book, key.id or night_id_of(book, key.name))
    if key.kind == "compare":
        return _compare(book, key)
    if key.kind == "object":
        return read_object(book, key.name)
    if key.kind == "part":
        return read_part(book, key.name, key.id)
    if key.kind == "train":
        return read_train(book, key.name, key.id)
    if key.kind == "year":
        return read_year(book, key.name)
    if key.kind == "trends":
        return read_trends_of(book, key.name)
    raise BadInput(f"there is no page of kind {clean(key.kind, longest=40)!r}")


def paper_of(data: PageData) -> Paper:
    """A page's data told as sections."""
    if isinstance(data, NightWhole):
        return night_paper(data)
    if isinstance(data, Comparison):
        return compare_paper(data)
    if isinstance(data, ObjectPage):
        return object_paper(data)
    if isinstance(data, PartPage):
        return part_paper(data)
    if isinstance(data, TrainHistory):
        return train_paper(data)
    if isinstance(data, YearPage):
        return year_paper(data)
    return trends_paper(data)


def count_ahead(book: "Book") -> None:
    """Have the book count over all its nights what pages ask of them; it keeps the counts."""
    if book.past.first_and_last() is None:
        return
    read_page(book, PageKey("trends", "all"))
    for train in book.kit.trains():
        read_page(book, PageKey("train", train.train.name, train.id))


def read_paper(book: "Book", key: PageKey) -> Paper:
    """A page, read and told. Raises BadInput and NotFound."""
    return paper_of(read_page(book, key))


def night_id_of(book: "Book", typed: str) -> int:
    """The night of a date as typed; the last one for "". Raises BadInput, NotFound."""
    reach = book.past.first_and_last()
    if reach is None:
        raise NotFound(EMPTY_BOOK)
    evening = read_date(typed, tonight_of(book)) if typed else reach[1]
    return book.nights.on(evening).id


def _compare(book: "Book", key: PageKey) -> Comparison:
    """The night named last against the one named first; a night alone against the last good."""
    if book.past.first_and_last() is None:
        raise NotFound(EMPTY_BOOK)
    if not key.name:
        return compare_with_last_good(book, key.id or night_id_of(book, ""))
    first, *others = read_dates(key.name, tonight_of(book))
    if others:
        return compare_dates(book, others[0], first)
    return compare_with_last_good(book, key.id or book.nights.on(first).id)
