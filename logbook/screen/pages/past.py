"""Past: the nights that were, and one night read whole."""

from typing import ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import ContentSwitcher, OptionList, Static
from textual.widgets.option_list import Option

from logbook.errors import LogbookError
from logbook.report.night_page import NightPageData, night_lines, read_night
from logbook.screen.page import Page
from logbook.store.records import NightSummary
from logbook.store.words import counted, total_words


class PastPage(Page):
    """A list of nights, newest first; Enter reads one whole, Escape comes back."""

    TITLE = "Past"
    DEFAULT_CSS = """
    PastPage #past-head { height: 1; text-style: bold; }
    PastPage #past-list { height: 1fr; border: none; padding: 0; background: $background; }
    PastPage #past-list:focus { border: none; }
    PastPage #past-night { height: 1fr; }
    PastPage #past-both { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back", tooltip="Back to the list of nights"),
        Binding("left", "step(1)", "Night before", tooltip="Read the night before"),
        Binding("right", "step(-1)", "Next night", tooltip="Read the next night"),
    ]
    OWN_KEYS = (
        ("Enter", "read the chosen night whole"),
        ("Escape", "back to the list of nights"),
        ("← →", "the night before, the next night"),
    )

    class NightRead(Message):
        """A night was read from the book."""

        def __init__(self, data: NightPageData, *, again: bool) -> None:
            super().__init__()
            self.data = data
            self.again = again  # the book changed under the night that is in view

    class NotRead(Message):
        """It could not be read."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def compose(self) -> ComposeResult:
        yield Static(id="past-head", markup=False)
        with ContentSwitcher(id="past-both", initial="past-list"):
            yield OptionList(id="past-list", markup=False)
            with VerticalScroll(id="past-night"):
                yield Static(id="past-words", markup=False)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#past-list", OptionList)

    @property
    def _both(self) -> ContentSwitcher:
        return self.query_one("#past-both", ContentSwitcher)

    def take_focus(self) -> None:
        self.query_one(f"#{self._both.current}").focus()

    def redraw(self) -> None:
        nights, place = self.desk.view.nights, self._list.highlighted
        kept = None if place is None else self._list.get_option_at_index(place).id
        wide = self.app.size.width >= 100
        self._list.clear_options()
        self._list.add_options(
            [Option(night_line(each, wide=wide), id=str(each.night.id)) for each in nights]
        )
        if nights:
            ids = [str(each.night.id) for each in nights]
            self._list.highlighted = ids.index(kept) if kept in ids else 0
        if self._both.current == "past-list":
            self._say_head()
        elif self._list.highlighted is not None:
            self._read(nights[self._list.highlighted].night.id, again=True)

    def on_resize(self) -> None:
        """A wide screen has room for more in each line."""
        self.redraw()

    def _say_head(self) -> None:
        count = len(self.desk.view.nights)
        words = f"{counted(count, 'night')}, newest first. Enter reads one."
        if not count:
            words = "No nights yet: F10 starts the first one."
        self.query_one("#past-head", Static).update(Text(words))

    @on(OptionList.OptionSelected, "#past-list")
    def _selected(self) -> None:
        self._open(self._list.highlighted)

    def _open(self, place: int | None) -> None:
        nights = self.desk.view.nights
        if place is not None and 0 <= place < len(nights):
            self._list.highlighted = place
            self._read(nights[place].night.id, again=False)

    @work(thread=True, exclusive=True, exit_on_error=False, group="past")
    def _read(self, night_id: int, *, again: bool) -> None:
        book = self.desk.book
        if book is None:
            return
        try:
            self.post_message(self.NightRead(read_night(book, night_id), again=again))
        except LogbookError as error:
            self.post_message(self.NotRead(str(error)))

    @on(NightRead)
    def _night_read(self, event: NightRead) -> None:
        lines = night_lines(event.data)
        self.query_one("#past-head", Static).update(lines[0])
        self.query_one("#past-words", Static).update(Text("\n").join(lines[1:]))
        if event.again:
            return
        self._both.current = "past-night"
        night = self.query_one("#past-night", VerticalScroll)
        night.scroll_home(animate=False)
        night.focus()

    @on(NotRead)
    def _not_read(self, event: NotRead) -> None:
        self.query_one("#past-head", Static).update(Text(event.words))

    def action_back(self) -> None:
        self._both.current = "past-list"
        self._say_head()
        self._list.focus()

    def action_step(self, step: int) -> None:
        place = self._list.highlighted
        if self._both.current == "past-night" and place is not None:
            self._open(place + step)


def night_line(each: NightSummary, *, wide: bool) -> Text:
    """One night in a line: date, objects, frames, hours, turns."""
    line = Text(f"{each.night.local_date:%a %d %b %Y} ", style="bold")
    sums = ["in progress"] if each.night.ended_utc is None else []
    sums.append(
        ", ".join(each.objects[:2]) + (" …" if len(each.objects) > 2 else "") or "no object"
    )
    if each.frames:
        sums.append(f"{each.frames} frames, {total_words(each.exposure_s)}")
    if each.turns:
        sums.append(counted(each.turns, "turn"))
    if wide or not each.frames:
        sums.append(f"{each.entries} entries")
    line.append(" · ".join(sums), style="not bold")
    return line
