"""The nights of the Past page: read, named and summed up as they come into view."""

from rich.text import Text
from textual.widgets import Static

from logbook.entryline.format import counted
from logbook.errors import LogbookError
from logbook.screen.pages.past.list import NightName, NightsList
from logbook.screen.services.book_snapshot import NIGHTS_LISTED
from logbook.screen.widgets.page import Page, run_beside

_FIRST_OF_ALL = "No nights yet: F10 starts the first one."


class Nights:
    """Fills the list of the page from the book, and says above it what is chosen or marked."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.desk = page.desk

    @property
    def rows(self) -> NightsList:
        return self.page.query_one(NightsList)

    def say(self, words: str) -> None:
        self.page.query_one("#past-head", Static).update(Text(words))

    def redraw(self) -> None:
        nights = self.desk.view.nights
        newest = tuple(NightName(each.night.id, each.night.local_date) for each in nights)
        self.rows.take_summaries(nights)
        if len(nights) < NIGHTS_LISTED:
            self._take_names(newest)
            return
        if not self.rows.nights:
            self.rows.name_nights(newest)
        run_beside(self.page, self._name_all, "past-names")

    def _name_all(self) -> None:
        """Name every night: twenty years of them are some 20 ms."""
        book = self.desk.book
        if book is None:
            return
        try:
            places = reversed(book.past.places())
            nights = tuple(NightName(each.id, each.local_date) for each in places)
            self.page.call_later(self._named, nights)
        except LogbookError as error:
            self.page.call_later(self.say, str(error))

    def _named(self, nights: tuple[NightName, ...]) -> None:
        self._take_names(nights)
        self.rows.read_anew()

    def _take_names(self, nights: tuple[NightName, ...]) -> None:
        self.rows.name_nights(nights)
        self.say_head()

    def say_head(self) -> None:
        marked, count = self.rows.marked, len(self.rows.nights)
        words = f"{counted(count, 'night')}, newest first. Enter reads one."
        if not count:
            words = _FIRST_OF_ALL
        if marked is not None:
            words = f"{marked.local_date} is marked: c on another night compares. Escape unmarks."
        self.say(words)

    def sum_up(self, night_ids: tuple[int, ...]) -> None:
        """Read what was done in the nights that came into view."""

        def read() -> None:
            book = self.desk.book
            if book is None:
                return
            try:
                summaries = book.nights.summaries_of(night_ids)
                self.page.call_later(lambda: self.rows.take_summaries(summaries))
            except LogbookError as error:
                self.page.call_later(self.say, str(error))

        run_beside(self.page, read, "past-sums")

    def chosen_or_say(self) -> NightName | None:
        """The chosen night; without any, what to do first."""
        if self.rows.chosen is None:
            self.say(_FIRST_OF_ALL)
        return self.rows.chosen

    def mark(self, night: NightName | None) -> None:
        self.rows.marked = night
        self.rows.refresh()
        self.say_head()
