"""What Enter opens on a line that was found: the page it leads to, or the line itself whole."""

from rich.text import Text
from textual.app import App

from logbook.records.search import Elsewhere, Hit
from logbook.report.words.search_marks import Marks
from logbook.screen.dialogs.live_sheet import TextSheet
from logbook.screen.dialogs.paper_sheet import PaperSheet
from logbook.screen.pages.past.search_words import about_elsewhere, about_hit, page_of
from logbook.screen.services.services import Desk


def open_hit(app: App[int], desk: Desk, found: Hit | Elsewhere, words: str) -> None:
    """Open the page that a line leads to, at its entry; Escape comes back to the search."""
    key = page_of(found)
    if key is None:
        app.push_screen(LineSheet(desk, found, words))
        return
    entry_id = found.standing_id if isinstance(found, Hit) else found.entry_id
    app.push_screen(PaperSheet(desk, key, at_entry_id=entry_id))


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
