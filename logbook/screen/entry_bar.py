"""The entry line at the foot of every page: type what happened, see what was understood, Enter."""

from typing import TYPE_CHECKING

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input, Static

from logbook.screen.desk import Desk
from logbook.screen.line_input import LineInput
from logbook.text import as_one_line

if TYPE_CHECKING:
    from logbook.store.line_around import Understood

DRAFT_PLACE = "entry line"
IDLE_WORDS = "Type what happened:  seeing 3/5   start m31   20 x 180s Ha   turn A tighten 1/8"
IDLE_WORDS_NARROW = "Type what happened:  seeing 3/5   20 x 180s Ha"


class EntryInput(LineInput):
    """The line itself. Tab completes, up brings back the last line, escape leaves it.

    What a key does is done when it comes, not by a message: the next key must find it done.
    """

    BINDINGS = [  # noqa: RUF012 (Textual reads it)
        Binding("tab", "complete", "Complete the word", show=False),
        Binding("up", "recall", "Last line again", show=False),
        Binding("escape", "leave", "Back to the page", show=False),
    ]

    def __init__(self, bar: "EntryBar") -> None:
        super().__init__(id="line", max_length=2000, select_on_focus=False)
        self.cursor_blink = False
        self._bar = bar

    async def action_submit(self) -> None:
        typed = self.value
        if typed.strip():
            with self.prevent(Input.Changed):
                self.value = ""
            self._bar.take(typed)

    def action_complete(self) -> None:
        self._bar.complete()

    def action_recall(self) -> None:
        self._bar.recall()

    def action_leave(self) -> None:
        self._bar.post_message(EntryBar.Left())


class EntryBar(Vertical):
    """The entry line with the words above it that say what was understood, or what became of it."""

    class Left(Message):
        """The owner goes back to the page."""

    class Typed(Message):
        """What was typed and is not on its way changed; it is worth keeping as a draft."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    class Entered(Message):
        """A line was understood and is to be kept.

        `rest` -- what was typed after it.
        `from_page` -- a page or a form wrote it, so what is half typed on the line stays.
        """

        def __init__(
            self, understood: "Understood", typed: str, rest: str, *, from_page: bool = False
        ) -> None:
            super().__init__()
            self.understood = understood
            self.typed = typed
            self.rest = rest
            self.from_page = from_page

    def __init__(self, desk: Desk) -> None:
        super().__init__(id="entry-bar")
        self.desk = desk
        self._last_typed = ""
        self._shows_preview = False  # the words above the line say what Enter would do
        self._on_its_way = False  # a line is being written; the next one waits for it
        self._waiting: list[str] = []

    def compose(self) -> ComposeResult:
        yield Static(id="understood", markup=False)
        with Horizontal(id="entry"):
            yield Static("▸ ", id="entry-mark", markup=False)
            yield EntryInput(self)

    @property
    def line(self) -> EntryInput:
        return self.query_one("#line", EntryInput)

    def on_mount(self) -> None:
        self._show(None)
        self.set_interval(10.0, self.understand_again)

    def say(self, words: str, *, bold: bool = False) -> None:
        """Say something above the line."""
        self._shows_preview = False
        self.query_one("#understood", Static).update(Text(words, style="bold" if bold else ""))

    def restore(self, text: str) -> None:
        """Put text back into the line: a draft of last time, or a line that could not be kept."""
        self.line.value = text
        self.line.cursor_position = len(text)

    def kept(self, words: str, typed: str | None) -> None:
        """Say that something is on disk; a line entered meanwhile comes next.

        It was not understood before, because what it means may hang on the line before it.
        """
        self.say(words)
        if typed is None:
            return
        self._on_its_way = False
        if self._waiting:
            self._enter_typed(self._waiting.pop(0))

    def not_kept(self, words: str, typed: str | None) -> None:
        """Say why nothing was kept, and put a typed line back, with all that was typed since."""
        self.say(words, bold=True)
        if typed is None:
            return
        self._on_its_way = False
        self._put_back(typed)

    @property
    def unkept(self) -> str:
        """All that was typed and is not on its way to the disk."""
        return as_one_line(*self._waiting, self.line.value)

    def _put_back(self, typed: str) -> None:
        """A line on the line again; what was typed after it becomes its remark, so none is lost."""
        rest, self._waiting = self.unkept, []
        with self.prevent(Input.Changed):
            self.restore(as_one_line(typed, rest))
        self.post_message(self.Typed(self.line.value))

    def enter(self, line: str) -> None:
        """Keep a line that a page or a form wrote; one half typed by the owner is left alone."""
        from logbook.screen.reading import read_line

        understood = read_line(self.desk, line)
        if understood.entry is not None:
            self.post_message(self.Entered(understood, line, self.unkept, from_page=True))
            return
        if not self.line.value.strip():
            self.restore(line)
            self.line.focus()
        self._show(understood)

    def understand_again(self) -> None:
        """Objects can be found now, or time has passed: look at a waiting line once more."""
        if self.line.value.strip() and self._shows_preview:
            self._show(self._understand())

    def _understand(self) -> "Understood | None":
        from logbook.screen.reading import read_line

        typed = self.line.value
        return read_line(self.desk, typed) if typed.strip() else None

    def _show(self, understood: "Understood | None") -> None:
        """Say what Enter would do with the line that is typed."""
        if understood is None:
            self.say(IDLE_WORDS if self.app.size.width >= 80 else IDLE_WORDS_NARROW)
            return
        from logbook.screen.reading import words_before_enter

        words, refused = words_before_enter(self.desk, understood)
        self.say(words, bold=refused)
        self._shows_preview = True

    @on(Input.Changed, "#line")
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self.post_message(self.Typed(self.unkept))
        self._show(self._understand())

    def take(self, typed: str) -> None:
        """Keep a line; the line before it comes first."""
        if self._on_its_way:
            self._waiting.append(typed)
        else:
            self._enter_typed(typed)

    def _enter_typed(self, typed: str) -> None:
        """Send a line on its way; one that isn't understood comes back, to be mended."""
        from logbook.screen.reading import read_line

        understood = read_line(self.desk, typed)
        if understood.entry is None:
            self._put_back(typed)
            self._show(understood)
            return
        self._on_its_way = True
        self._last_typed = typed
        self.post_message(self.Entered(understood, typed, self.unkept))

    def complete(self) -> None:
        """Put the likeliest ending in place."""
        understood = self._understand()
        if understood is not None and understood.completions:
            self.restore(understood.completions[0])

    def recall(self) -> None:
        """Bring the last line back."""
        if not self.line.value and self._last_typed:
            self.restore(self._last_typed)
