"""Sheets whose contents are computed in a worker thread and drawn when they are ready.

The keyboard never waits: until then the sheet says that it works. When the book changed under an
open sheet the app calls `book_changed`, and it is computed anew.
"""

from typing import Any, ClassVar, Generic, TypeVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.message import Message
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


class LiveSheet(TellsFailures, Modal[None], Generic[T]):
    """A sheet over the page. Subclasses define what is computed and how it is drawn."""

    KEY_WORDS: ClassVar[str] = "Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q", "close", "Close", tooltip="Back to the page"),
    ]

    class Ready(Message):
        """The contents were computed."""

        def __init__(self, found: Any) -> None:
            super().__init__()
            self.found = found

    class Unready(Message):
        """They cannot be; `words` say why."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

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

    @property
    def room(self) -> tuple[int, int]:
        """Columns and rows that fit inside the sheet."""
        size = self.app.size
        return max(20, min(_WIDEST, size.width) - _EDGES), max(6, size.height - 2)

    def on_resize(self) -> None:
        self.draw()

    def draw(self) -> None:
        """Draw what was computed, if it was."""
        if self.found is None or not self.is_mounted:
            return
        self.drop_question()  # what it was asked of may be another now
        self._set("#live-top", self.top_words(self.found))
        self.query_one("#live-heading", Static).update(Text(self.heading, style="bold"))
        self.draw_body(self.found)

    def _set(self, where: str, words: Text) -> None:
        """Show words; without any their place is given to the body."""
        shown = self.query_one(where, Static)
        shown.update(words)
        shown.display = bool(words.plain)

    def about(self, words: Text) -> None:
        """What stands below the body."""
        self._set("#live-about", words)

    def say(self, words: str) -> None:
        """Say on the sheet what became of a wish."""
        self._set("#live-about", Text(words, style="bold"))

    def book_changed(self) -> None:
        """The book was read anew."""
        self.work_again()

    def written(self, words: str) -> None:
        """Something is on disk; `words` say what."""
        self.say(words)

    def sky_changed(self) -> None:
        """The night was computed anew; what waited for it can go on."""
        if self.found is None:
            self.work_again()

    def keep(self, job: Job | None) -> None:
        """Have something written in the book; a form that was left gives None."""
        if job is not None:
            self.app.post_message(JobWanted(job))

    @work(thread=True, exclusive=True, exit_on_error=False, group="sheet")
    def work_again(self) -> None:
        """Work the contents out, now or anew."""
        worker = get_current_worker()
        try:
            message: Message = self.Ready(self.work_out())
        except LogbookError as error:
            message = self.Unready(str(error))
        if not worker.is_cancelled:
            self.post_message(message)

    @on(Ready)
    def _ready(self, event: Ready) -> None:
        event.stop()
        self.found = event.found
        self.draw()

    @on(Unready)
    def _unready(self, event: Unready) -> None:
        event.stop()
        self._set("#live-top", Text(event.words, style="bold"))

    def action_close(self) -> None:
        self.dismiss(None)


class TextSheet(LiveSheet[T]):
    """Lines and drawings that scroll."""

    KEY_WORDS = "↑ ↓ scroll   Escape closes"

    def lines(self, found: T) -> list[Text]:
        """What the sheet shows."""
        raise LogbookError("this sheet has no lines")

    @property
    def text_columns(self) -> int:
        """Columns beside the scroll bar."""
        return self.room[0] - _SCROLL_BAR

    def body(self) -> Widget:
        return VerticalScroll(Static(id="live-text", markup=False), id="live-body")

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#live-body").focus()

    def draw_body(self, found: T) -> None:
        self.query_one("#live-text", Static).update(Text("\n").join(self.lines(found)))


class ListSheet(LiveSheet[T]):
    """A list of rows, with words about the highlighted one below."""

    KEY_WORDS = "↑ ↓ choose   Enter takes   Escape closes"

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
        return OptionList(id="live-list", markup=False)

    def on_mount(self) -> None:
        super().on_mount()
        self._list.focus()

    @property
    def _list(self) -> OptionList:
        return self.query_one("#live-list", OptionList)

    @property
    def place(self) -> int | None:
        """The highlighted row; None without any."""
        return self._list.highlighted

    def highlight(self, place: int) -> None:
        """Put the highlight on a row, or the last one."""
        if self._list.option_count:
            self._list.highlighted = min(max(0, place), self._list.option_count - 1)

    def draw_body(self, found: T) -> None:
        kept = self.place or 0
        self._list.clear_options()
        columns = self.room[0] - _SCROLL_BAR
        for row in self.rows(found):
            row.truncate(columns, overflow="ellipsis")
            self._list.add_option(Option(row))
        self.highlight(kept)
        self._say_about()

    def _say_about(self) -> None:
        if self.found is not None and self.place is not None:
            self.about(self.about_words(self.found, self.place))

    @on(OptionList.OptionHighlighted, "#live-list")
    def _highlighted(self) -> None:
        self._say_about()

    @on(OptionList.OptionSelected, "#live-list")
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if self.found is not None:
            self.taken(self.found, event.option_index)
