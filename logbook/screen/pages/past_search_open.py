"""What Enter opens on a line that was found: the page it leads to, or the line itself whole."""

from dataclasses import replace

from rich.text import Text
from textual.app import App

from logbook.errors import LogbookError
from logbook.report.page_keys import PageKey
from logbook.report.search_marks import Marks
from logbook.screen.desk import Desk
from logbook.screen.live_sheet import TextSheet
from logbook.screen.pages.past_search_words import about_elsewhere, about_hit, page_of
from logbook.store.search_records import Elsewhere, Hit


def open_hit(app: App[int], desk: Desk, found: Hit | Elsewhere, words: str) -> None:
    """Open the page that a line leads to, at its entry; Escape comes back to the search."""
    key = page_of(found)
    if key is None:
        app.push_screen(LineSheet(desk, found, words))
        return
    entry_id = found.standing_id if isinstance(found, Hit) else found.entry_id
    app.push_screen(ReadSheet(desk, key, entry_id))


class ReadSheet(TextSheet[list[Text]]):
    """A page of looking back, read whole, and scrolled to one entry of a night."""

    def __init__(self, desk: Desk, key: PageKey, at_entry_id: int | None) -> None:
        super().__init__(desk, key.words)
        self._key = key
        self._at_entry_id = at_entry_id
        self._at_text = ""

    def work_out(self) -> list[Text]:
        from logbook.report.as_text import text_lines
        from logbook.report.pages import read_paper

        book = self.desk.book
        if book is None:
            raise LogbookError("The book is not open yet.")
        if self._at_entry_id is not None:
            self._at_text = book.timeline.get(self._at_entry_id).content.text
        paper = replace(read_paper(book, self._key), links=())
        return text_lines(paper, width=self.text_columns)

    def lines(self, found: list[Text]) -> list[Text]:
        return found

    def draw_body(self, found: list[Text]) -> None:
        super().draw_body(found)
        start = self._at_text[:40]
        row = next((n for n, line in enumerate(found) if start and start in line.plain), None)
        if row is not None:
            found[row].stylize("reverse")
            self.query_one("#live-body").scroll_to(y=max(0, row - 3), animate=False)


class LineSheet(TextSheet[Hit | Elsewhere]):
    """A line by day, or something that has no page: all that is written of it."""

    def __init__(self, desk: Desk, found: Hit | Elsewhere, words: str) -> None:
        super().__init__(desk, "Found")
        self._line = found
        self._marks = Marks(words)

    def work_out(self) -> Hit | Elsewhere:
        return self._line

    def lines(self, found: Hit | Elsewhere) -> list[Text]:
        if isinstance(found, Hit):
            return [Text("By day, outside any night:"), about_hit(found, self._marks)]
        return [about_elsewhere(found, self._marks)]
