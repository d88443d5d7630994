"""The pages of looking back, a line each: where one is loaded and rendered, and its arguments.

The module of a page has `load(book, key)`, which raises BadInput and NotFound in words that say
what to do, and `render(data)`. It is imported when such a page is asked for; the class of its data
names the kind of page as `page_kind`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any, ClassVar, Protocol

from logbook.errors import BadInput
from logbook.report.render.keys import PageKey
from logbook.text import clean

if TYPE_CHECKING:
    from logbook.report.render.document import Paper
    from logbook.store.book import Book


class PageData(Protocol):
    """What was loaded for a page: a dataclass."""

    page_kind: ClassVar[str]


@dataclass(frozen=True, slots=True)
class PageKind:
    """A kind of page.

    names -- how many words name one, as argparse counts them; "" if the page has no command of
        its own name here.
    """

    module: str
    help: str = ""
    names: str | int = ""
    metavar: str = "NAME"
    names_help: str | None = None


PAGES: Mapping[str, PageKind] = {
    "night": PageKind(
        "logbook.report.pages.night",
        "read one night back",
        "*",
        "DATE",
        "of the evening; else the last night",
    ),
    "compare": PageKind(
        "logbook.report.compare.page",
        "what was different between two nights",
        "*",
        "DATE",
        "the night to go by and the night asked about; one alone is asked about, by the last "
        "good one",
    ),
    "object": PageKind("logbook.report.pages.object", "one object over all nights", "+"),
    "part": PageKind(
        "logbook.report.pages.part", "one part: its values, upkeep, trains and hours", "+"
    ),
    "train": PageKind("logbook.report.pages.train"),
    "year": PageKind(
        "logbook.report.pages.year",
        "a year: hours, darkness used, objects, best nights",
        1,
        "YYYY",
    ),
    "trends": PageKind(
        "logbook.report.pages.trends",
        "how seeing, width, focus and hours went",
        "*",
        "YYYY",
        "a year, the first and the last, or all; else the last three",
    ),
}


def load_page(book: "Book", key: PageKey) -> PageData:
    """A page as data. Raises BadInput and NotFound, in words that say what to do."""
    data: PageData = _module(key.kind).load(book, key)
    return data


def render_page(data: PageData) -> "Paper":
    """A page's data as a document."""
    document: Paper = _module(data.page_kind).render(data)
    return document


def count_ahead(book: "Book") -> None:
    """Have the book count over all its nights what pages ask of them; it keeps the counts."""
    if book.past.first_and_last() is None:
        return
    load_page(book, PageKey("trends", "all"))
    for train in book.kit.trains():
        load_page(book, PageKey("train", train.train.name, train.id))


def _module(kind: str) -> Any:
    if kind not in PAGES:
        raise BadInput(f"there is no page of kind {clean(kind, longest=40)!r}")
    return import_module(PAGES[kind].module)
