"""The lines that a search found, with words about the chosen one below."""

from collections.abc import Sequence

from rich.text import Text
from textual import on
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from logbook.records.search import Elsewhere, Hit, Loosened
from logbook.report.words.search_marks import Marks
from logbook.screen.dialogs.live_sheet import room_of, set_words
from logbook.screen.pages.past import search_words

Line = Hit | Elsewhere | Loosened
_ROWS_AT_ONCE = 100


class HitList(OptionList):
    """Lines of the book, and ways to loosen a search that finds none."""

    can_focus = False

    def __init__(self) -> None:
        super().__init__(id="find-list", markup=False)
        self.lines: Sequence[Line] = ()
        self.marks = Marks("")  # of the words that were searched for

    @property
    def columns(self) -> int:
        return room_of(self.screen)[0] - 2

    @property
    def chosen(self) -> Line | None:
        """The highlighted line."""
        place = self.highlighted
        return self.lines[place] if place is not None and place < len(self.lines) else None

    def fill(self, lines: Sequence[Line]) -> None:
        """List these, with the highlight where it was."""
        place = self.highlighted or 0
        self.lines = lines
        self.clear_options()
        self._list_more(max(_ROWS_AT_ONCE, place + 1))
        self.highlighted = min(place, len(lines) - 1) if lines else None
        self._say_about()

    def _list_more(self, rows: int) -> None:
        """Put more rows into the list: a few hundred at once would keep a key waiting."""
        done = self.option_count
        self.add_options([Option(self._row(each)) for each in self.lines[done : done + rows]])

    def _row(self, each: Line) -> Text:
        if isinstance(each, Hit):
            return search_words.hit_row(each, self.marks, self.columns)
        if isinstance(each, Elsewhere):
            return search_words.elsewhere_row(each, self.marks, self.columns)
        return search_words.loosened_row(each)

    @on(OptionList.OptionHighlighted)
    def _highlighted_another(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_index >= self.option_count - 1:
            self._list_more(_ROWS_AT_ONCE)
        self._say_about()

    def _say_about(self) -> None:
        chosen, words = self.chosen, Text("")
        if isinstance(chosen, Hit):
            words = search_words.about_hit(chosen, self.marks)
        elif isinstance(chosen, Elsewhere):
            words = search_words.about_elsewhere(chosen, self.marks)
        set_words(self.screen, "#live-about", words)
