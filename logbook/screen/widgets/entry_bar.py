"""The entry line at the foot of every page: type what happened, see what was understood, Enter."""

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input, Static

from logbook.screen.services.jobs import keep_understood
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.services import Desk
from logbook.screen.widgets.grammar import Grammar
from logbook.screen.widgets.line_input import LineInput
from logbook.screen.widgets.line_sender import LineSender
from logbook.screen.widgets.line_words import Asked, LineWords
from logbook.screen.widgets.on_line import OnLine
from logbook.screen.widgets.typed_run import TypedRun
from logbook.screen.widgets.unseen import LONGEST_TYPED

DRAFT_PLACE = "entry line"
YES_OR_NO = "Enter yes, Escape no"
TYPING_MARK = "▸ "
PAGE_MARK = "keys of this page · ctrl+t types a line  "


class EntryInput(LineInput):
    """The line itself. Tab completes, up brings back the last line, Escape clears, then leaves it.

    What a key does is done when it comes, not by a message: the next key must find it done.
    """

    BINDINGS = [  # noqa: RUF012 (Textual reads it)
        Binding("tab", "complete", "Complete the word", show=False),
        Binding("up", "recall", "Last line again", show=False),
        Binding("escape", "leave", "Clear; then back to the page", show=False),
    ]

    def __init__(self, bar: "EntryBar") -> None:
        super().__init__(id="line", max_length=LONGEST_TYPED, select_on_focus=False)
        self.cursor_blink = False
        self._bar = bar

    async def _on_key(self, event: events.Key) -> None:
        if event.key != "enter":
            self._bar.lines.edits(types=event.is_printable)
        elif self._bar.lines.holds_back(event.time):
            event.stop()
            event.prevent_default()
            return
        await super()._on_key(event)
        if event.character == " ":
            self._bar.read_begun()

    async def action_submit(self) -> None:
        self._bar.enter_typed()

    def restricted(self) -> None:
        """A letter found no space."""
        self._bar.lines.lost_letter()

    def _on_paste(self, event: events.Paste) -> None:
        """Take every line of it; the field of the library would take the first one alone."""
        event.stop()
        event.prevent_default()
        self._bar.lines.take_pasted(event.text)

    def action_complete(self) -> None:
        self._bar.on_line.complete()

    def action_recall(self) -> None:
        self._bar.on_line.recall()

    def action_leave(self) -> None:
        self._bar.leave()

    def on_focus(self) -> None:
        self._bar.mark(typing=True)

    def on_blur(self) -> None:
        self._bar.mark(typing=False)


class EntryBar(Vertical):
    """The entry line with the words above it that say what was understood, or what became of it."""

    class Left(Message):
        """The user goes back to the page."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(id="entry-bar")
        self.desk = desk
        self.run = TypedRun()
        self.words = LineWords(self, desk)
        self.on_line = OnLine(self, desk)
        self.lines = LineSender(self, desk, self.on_line, self.words)
        self._begun = ("", "")  # what a key of the page began the line with, and that key

    def compose(self) -> ComposeResult:
        yield Static(id="understood", markup=False)
        yield Static(id="waiting", markup=False)
        yield Static(id="warning", markup=False)
        with Horizontal(id="entry"):
            yield Static(TYPING_MARK, id="entry-mark", markup=False)
            yield EntryInput(self)

    @property
    def line(self) -> EntryInput:
        return self.query_one("#line", EntryInput)

    def on_mount(self) -> None:
        self.words.show("", None)
        self.lines.show_waiting()
        self.set_interval(10.0, self.lines.understand_again)

    def mark(self, *, typing: bool) -> None:
        """Say in words where letters go: on the line, or to the page."""
        self.query_one("#entry-mark", Static).update(TYPING_MARK if typing else PAGE_MARK)

    # --- the words above the line ---

    @property
    def question(self) -> Asked | None:
        return self.words.question

    def say(self, words: str, *, bold: bool = False) -> None:
        """Say something above the line."""
        self.words.say(words, bold=bold)

    def say_more(self, words: str) -> None:
        """Add to what was shown of something; a line typed meanwhile keeps its preview below."""
        self.lines.say_outcome(self.words.outcome_with(words))

    def warn(self, words: str) -> None:
        """Say something that stays, whatever is typed, until it is dismissed."""
        self._show_warning(f"{words} Escape on the empty line dismisses this.")

    def _show_warning(self, words: str) -> None:
        shown = self.query_one("#warning", Static)
        shown.update(Text(words))
        shown.display = bool(words)

    # --- the line ---

    @property
    def unkept(self) -> tuple[str, ...]:
        """All lines that were typed and are not on their way to the disk, as drafts."""
        return self.lines.unkept

    def take_keys(self) -> None:
        """Give the line the keys, at once."""
        self.screen.set_focus(self.line)

    def restore(self, text: str) -> None:
        """Put text back into the line: a draft of last time, or a line that could not be saved."""
        self.on_line.restore(text)

    def type(self, text: str) -> None:
        """Letters that came while the page had the keys: the line has them from now on."""
        self.run.end()
        self.take_keys()
        self.line.insert_text_at_cursor(text)

    def begin(self, beginning: str) -> None:
        """Begin a line that the user ends."""
        self._begun = (beginning, self.run.text)
        self.restore(beginning)

    def propose(self, beginning: str) -> None:
        """Begin a line for the user to end; what is half typed already is left as it is."""
        if self.line.value.strip():
            self.say("The line still holds what was typed: Enter logs it, ctrl+u clears it.")
        else:
            self.begin(beginning)
        self.take_keys()

    def read_begun(self) -> None:
        """A word typed whole, as `seeing` where s had begun `start `, is that word."""
        beginning, letters = self._begun
        typed = self.line.value
        whole = letters + typed.removeprefix(beginning)
        if letters and typed.startswith(beginning) and Grammar().begins_line(whole):
            self.restore(whole)

    def enter_typed(self) -> None:
        """Enter was pressed."""
        self.read_begun()
        self._begun = ("", "")
        self.lines.enter()

    def leave(self) -> None:
        """Escape: clear what is typed, up brings it back; from an empty line go to the page.

        A warning is dismissed before the line is left.
        """
        if self.line.value:
            self.on_line.clear()
        elif self.query_one("#warning").display:
            self._show_warning("")
        else:
            self.post_message(self.Left())

    def enter(self, line: str) -> None:
        """Save a line that a page wrote; one that is half typed is left alone."""
        understood = Grammar().read_line(self.desk, line)
        if understood.entry is not None:
            self.post_message(JobWanted(keep_understood(understood, None)))
            return
        if not self.line.value.strip():
            self.begin(line)
            self.take_keys()
        self.words.show(self.line.value, understood)

    @on(Input.Changed, "#line")
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self.lines.changed()

    # --- what became of a line ---

    def kept(self, words: str, typed: str | None) -> None:
        """Say that something is on disk; a line entered meanwhile comes next."""
        self.lines.say_outcome(words)
        if typed is not None:
            self.lines.arrived()

    def not_kept(self, words: str, typed: str | None) -> None:
        """Show why nothing was saved, and put a typed line back; what was typed since waits."""
        if typed is not None:
            self.lines.came_back(typed)
        self.say(words, bold=True)
