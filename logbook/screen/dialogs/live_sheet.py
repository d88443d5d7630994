"""Sheets whose contents are computed in a worker thread and drawn when they are ready.

The keyboard never waits: until then the sheet says that it works. When the book changed under an
open sheet the app calls `book_changed`, and it is computed anew.
"""

from collections.abc import Sequence
from typing import Any, ClassVar, Generic, TypeVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.modal import Modal

T = TypeVar("T")

_WIDEST = 116
_SCROLL_BAR = 2
_EDGES = 4  # border and padding, both sides


def room_of(sheet: Screen[Any]) -> tuple[int, int]:
    """Columns and rows that fit inside a sheet."""
    size = sheet.app.size
    return max(20, min(_WIDEST, size.width) - _EDGES), max(6, size.height - 2)


def text_columns(sheet: Screen[Any]) -> int:
    """Columns beside the scroll bar."""
    return room_of(sheet)[0] - _SCROLL_BAR


def set_words(sheet: Screen[Any], where: str, words: Text) -> None:
    """Show words; without any their place is given to the body."""
    shown = sheet.query_one(where, Static)
    shown.update(words)
    shown.display = bool(words.plain)


def save(sheet: Screen[Any], job: Job | None) -> None:
    """Have something written in the book; a form that was left gives None."""
    if job is not None:
        sheet.app.post_message(JobWanted(job))


class LiveSheet(TellsFailures, Modal[None], Generic[T]):
    """A sheet over the page. Subclasses define what is computed and how it is drawn."""

    KEY_WORDS: ClassVar[str] = "Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "close", "Close", tooltip="Back to the page"),
    ]

    class Loaded(Message):
        """The contents were computed; or they cannot be, and `refused` says why."""

        def __init__(self, found: Any, refused: str = "") -> None:
            super().__init__()
            self.found = found
            self.refused = refused

    def __init__(self, desk: Desk, heading: str) -> None:
        super().__init__()
        self.desk = desk
        self.heading = heading
        self.found: T | None = None

    # --- what subclasses say ---

    def work_out(self) -> T:
        """The contents; called in a worker thread. May raise LogbookError."""
        raise LogbookError("this sheet has nothing in it")

    def body(self) -> Widget:
        """The widget between the words on top and the words below."""
        raise LogbookError("this sheet has no body")

    def top_words(self, found: T) -> Text:
        """What stands under the heading."""
        del found
        return Text("")

    def draw_body(self, found: T) -> None:
        """Fill the body."""

    # --- the sheet ---

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self.heading, style="bold"), id="live-heading", markup=False)
            yield Static(Text("Being worked out ..."), id="live-top", markup=False)
            yield self.body()
            yield Static(id="live-about", markup=False)
            yield Static(Text(self.KEY_WORDS, style="italic"), id="live-keys", markup=False)

    def on_mount(self) -> None:
        self.work_again()

    def on_resize(self) -> None:
        self.draw()

    def draw(self) -> None:
        """Draw what was computed, if it was."""
        if self.found is None or not self.is_mounted:
            return
        self.letters.drop()  # what it was asked of may be another now
        set_words(self, "#live-top", self.top_words(self.found))
        self.query_one("#live-heading", Static).update(Text(self.heading, style="bold"))
        self.draw_body(self.found)

    def say(self, words: str) -> None:
        """Say on the sheet what became of a wish."""
        set_words(self, "#live-about", Text(words, style="bold"))

    def book_changed(self) -> None:
        """The book was read anew."""
        self.work_again()

    def sky_changed(self) -> None:
        """The night was computed anew; what waited for it can go on."""
        if self.found is None:
            self.work_again()

    @work(thread=True, exclusive=True, exit_on_error=False, group="sheet")
    def work_again(self) -> None:
        """Work the contents out, now or anew."""
        worker = get_current_worker()
        try:
            message = self.Loaded(self.work_out())
        except LogbookError as error:
            message = self.Loaded(None, str(error))
        if not worker.is_cancelled:
            self.post_message(message)

    @on(Loaded)
    def _loaded(self, event: Loaded) -> None:
        event.stop()
        if event.refused:
            set_words(self, "#live-top", Text(event.refused, style="bold"))
            return
        self.found = event.found
        self.draw()

    def action_close(self) -> None:
        self.dismiss(None)


class TextSheet(LiveSheet[T]):
    """Lines and drawings that scroll."""

    KEY_WORDS = "↑ ↓ scroll   Escape closes"

    def lines(self, found: T) -> list[Text]:
        """What the sheet shows."""
        raise LogbookError("this sheet has no lines")

    def body(self) -> Widget:
        return VerticalScroll(Static(id="live-text", markup=False), id="live-body")

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#live-body").focus()

    def draw_body(self, found: T) -> None:
        self.query_one("#live-text", Static).update(Text("\n").join(self.lines(found)))


class RowList(OptionList):
    """The rows of a list sheet; the one that is highlighted is spoken of below."""

    def __init__(self, sheet: "ListSheet[Any]") -> None:
        super().__init__(id="live-list", markup=False)
        self._sheet = sheet

    @property
    def place(self) -> int | None:
        """The highlighted row; None without any."""
        return self.highlighted

    def bring(self, place: int) -> None:
        """Put the highlight on a row, or the last one."""
        if self.option_count:
            self.highlighted = min(max(0, place), self.option_count - 1)

    def show(self, rows: Sequence[Text]) -> None:
        """List other rows, with the highlight where it was."""
        before = self.place or 0
        self.clear_options()
        columns = text_columns(self._sheet)
        for row in rows:
            row.truncate(columns, overflow="ellipsis")
            self.add_option(Option(row))
        self.bring(before)
        self.say_about()

    def say_about(self) -> None:
        """Show below what is to be shown of the highlighted row."""
        found = self._sheet.found
        if found is not None and self.place is not None:
            set_words(self._sheet, "#live-about", self._sheet.about_words(found, self.place))

    @on(OptionList.OptionHighlighted)
    def _highlighted(self) -> None:
        self.say_about()

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if self._sheet.found is not None:
            self._sheet.taken(self._sheet.found, event.option_index)


class ListSheet(LiveSheet[T]):
    """A list of rows, with words about the highlighted one below."""

    KEY_WORDS = "↑ ↓ choose   Enter takes   Escape closes"
    listed: RowList

    def rows(self, found: T) -> list[Text]:
        """One text a row."""
        raise LogbookError("this list has no rows")

    def about_words(self, found: T, place: int) -> Text:
        """What stands below for the highlighted row."""
        del found, place
        return Text("")

    def taken(self, found: T, place: int) -> None:
        """Enter was pressed on a row."""

    def body(self) -> Widget:
        self.listed = RowList(self)
        return self.listed

    def on_mount(self) -> None:
        super().on_mount()
        self.listed.focus()

    def draw_body(self, found: T) -> None:
        self.listed.show(self.rows(found))
