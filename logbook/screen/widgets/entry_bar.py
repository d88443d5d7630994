"""The entry line at the foot of every page: type what happened, see what was understood, Enter."""

from collections.abc import Awaitable, Callable, Iterator
from dataclasses import dataclass, replace
from math import inf
from typing import TYPE_CHECKING

from rich.text import Text
from textual import events, on
from textual._time import get_time
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input, Static

from logbook.entryline.waiting_line import WaitingLine, read_draft_line
from logbook.screen.services.failures import reason
from logbook.screen.services.jobs import keep_understood
from logbook.screen.services.line_queue import MOST_WAITING, LineQueue
from logbook.screen.services.messages import JobWanted
from logbook.screen.services.services import Desk
from logbook.screen.widgets.line_input import LineInput
from logbook.screen.widgets.typed_run import TypedRun
from logbook.text import printable

if TYPE_CHECKING:
    from logbook.entryline.context import Understood

DRAFT_PLACE = "entry line"
LONGEST_TYPED = 2000  # characters
BOUNCE_S = 0.5  # an Enter that comes sooner was meant for what was there before
SLOW_S = 0.5  # a line that takes longer to be written is shown to be on its way
IDLE_WORDS = "Type what happened:  seeing 3/5   start m31   20 x 180s Ha   turn A tighten 1/8"
YES_OR_NO = "Enter yes, Escape no"
NOTHING_LOGGED = "Nothing was logged."
TYPING_MARK = "▸ "
PAGE_MARK = "keys of this page · ctrl+t types a line  "
IDLE_WORDS_NARROW = "Type what happened:  seeing 3/5   20 x 180s Ha"
OPENING_WORDS = "The book is being opened; what is typed waits for it."
CATALOGUE_WORDS = "The names of the sky are being read; what is typed waits for them."
SAVING_WORDS = "Saving …"


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
            self._bar.edits_line(types=event.is_printable)
        elif self._bar.holds_back(event.time):
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
        self._bar.lost_letter()

    def _on_paste(self, event: events.Paste) -> None:
        """Take every line of it; the field of the library would take the first one alone."""
        event.stop()
        event.prevent_default()
        self._bar.take_pasted(event.text)

    def action_complete(self) -> None:
        self._bar.complete()

    def action_recall(self) -> None:
        self._bar.recall()

    def action_leave(self) -> None:
        self._bar.leave()

    def on_focus(self) -> None:
        self._bar.mark(typing=True)

    def on_blur(self) -> None:
        self._bar.mark(typing=False)


@dataclass(frozen=True, slots=True)
class Asked:
    """A key of a page would write: Enter does it, Escape drops it, other letters are typed.

    typed -- the letter as it was typed; it goes on the line if it was meant for that.
    """

    words: str
    do: Callable[[], Awaitable[object]]
    typed: str = ""


class EntryBar(Vertical):
    """The entry line with the words above it that say what was understood, or what became of it."""

    class Left(Message):
        """The user goes back to the page."""

    class QuestionChanged(Message):
        """Something else is asked, or nothing any more."""

    class Typed(Message):
        """What was typed and is not on its way changed; it is worth keeping as drafts."""

        def __init__(self, drafts: tuple[str, ...]) -> None:
            super().__init__()
            self.drafts = drafts

    class Entered(Message):
        """A line was understood and is to be saved.

        `rest` -- the drafts of the lines that were typed besides.
        """

        def __init__(
            self, understood: "Understood", line: WaitingLine, rest: tuple[str, ...]
        ) -> None:
            super().__init__()
            self.understood = understood
            self.line = line
            self.rest = rest

    def __init__(self, desk: Desk) -> None:
        super().__init__(id="entry-bar")
        self.desk = desk
        self.question: Asked | None = None
        self.run = TypedRun()
        self._begun = ("", "")  # what a key of the page began the line with, and that key
        self._last_typed = WaitingLine()
        self._came = WaitingLine()  # the line as Enter was pressed on it before, or as it came
        self._shows_preview = False  # the words above the line say what Enter would do
        self._queue = LineQueue()
        self._is_slow = False  # what is on its way takes long
        self._not_taken = ""  # of what was typed or pasted, in words
        self._cut = 0  # characters of the line that found no room
        self._cut_was_said = False  # when Enter was pressed on it
        self._no_draft = ""  # why what is typed is not on disk yet
        self._is_offered = False  # the line came by itself: what is typed isn't joined to it
        self._outcome = ""  # the words above the line, as far as they say what became of something
        self._shown_at_s = -inf  # when the line came into view with what nobody typed just now

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
        self._show(None)
        self._show_waiting()
        self.set_interval(10.0, self.understand_again)

    def mark(self, *, typing: bool) -> None:
        """Say in words where letters go: on the line, or to the page."""
        self.query_one("#entry-mark", Static).update(TYPING_MARK if typing else PAGE_MARK)

    def ask(self, question: Asked) -> None:
        """Ask above the line before something is written."""
        self.say(question.words, bold=True)
        self._set_question(question)

    def _set_question(self, question: Asked | None) -> None:
        if question is not self.question:
            self.question = question
            self.post_message(self.QuestionChanged())

    def drop_question(self) -> None:
        """What was asked is not done, and says so."""
        if self.question is not None:
            self.say(NOTHING_LOGGED)

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
        from logbook.entryline.understand import begins_line

        beginning, letters = self._begun
        typed = self.line.value
        whole = letters + typed.removeprefix(beginning)
        if letters and typed.startswith(beginning) and begins_line(whole):
            self.restore(whole)

    def type(self, text: str) -> None:
        """Letters that came while the page had the keys: the line has them from now on."""
        self.run.end()
        self.take_keys()
        self.line.insert_text_at_cursor(text)

    def take_keys(self) -> None:
        """Give the line the keys, at once."""
        self.screen.set_focus(self.line)

    def warn(self, words: str) -> None:
        """Say something that stays, whatever is typed, until it is dismissed."""
        self._show_warning(f"{words} Escape on the empty line dismisses this.")

    def _show_warning(self, words: str) -> None:
        shown = self.query_one("#warning", Static)
        shown.update(Text(words))
        shown.display = bool(words)

    def leave(self) -> None:
        """Escape: clear what is typed, up brings it back; from an empty line go to the page.

        A warning is dismissed before the line is left.
        """
        if self.line.value:
            self._last_typed, self._came = self._on_line, WaitingLine()
            self.line.value = ""
        elif self.query_one("#warning").display:
            self._show_warning("")
        else:
            self.post_message(self.Left())

    def say(self, words: str, *, bold: bool = False) -> None:
        """Say something above the line."""
        self._shows_preview = False
        self._set_question(None)  # it isn't there to be read any more
        self._outcome = ""
        self.query_one("#understood", Static).update(Text(words, style="bold" if bold else ""))

    def restore(self, text: str) -> None:
        """Put text back into the line: a draft of last time, or a line that could not be saved."""
        self.line.value = text
        self.line.cursor_position = len(text)

    def kept(self, words: str, typed: str | None) -> None:
        """Say that something is on disk; a line entered meanwhile comes next.

        It was not understood before, because what it means may hang on the line before it.
        """
        self._say_with_preview(words)
        if typed is None:
            return
        self._arrived()
        self._send_next_entered()

    def not_kept(self, words: str, typed: str | None) -> None:
        """Show why nothing was saved, and put a typed line back; what was typed since waits."""
        if typed is not None:
            came_back = self._queue.on_its_way or WaitingLine(typed)
            self._arrived()
            self._put_back(came_back)
            self._is_offered = True
        self.say(words, bold=True)

    @property
    def unkept(self) -> tuple[str, ...]:
        """All lines that were typed and are not on their way to the disk, as drafts."""
        return tuple(each.draft for each in self._queue.besides(self._on_line))

    @property
    def _on_line(self) -> WaitingLine:
        """The line as it is typed; unless it was changed, it bears the time of its first Enter."""
        typed = self.line.value
        return self._came if typed == self._came.text else WaitingLine(typed)

    @property
    def _can_read(self) -> bool:
        """Whether a line can be read: by the book, and by the names of the sky."""
        return self.desk.book is not None and self.desk.knows_objects

    def book_opened(self, left: tuple[str, ...]) -> None:
        """The book is there: what was left half typed last time waits after what was typed."""
        self._queue.waiting += map(read_draft_line, left)
        self._begin_reading()
        if not self.line.value.strip():
            self._next_to_line()
            self._is_offered = False  # it was half typed: what is typed goes on with it
        self._changed_queue()

    def objects_known(self) -> None:
        """Objects can be found now."""
        self._begin_reading()

    def _begin_reading(self) -> None:
        """Read what was typed before book and catalogue were there.

        Enter pressed early counts for a line that is understood whole, and for no other.
        """
        if self._can_read:
            self._queue.early = len(self._queue.entered)
            self._send_next_entered()
        if self.line.value.strip() and self._shows_preview:
            self._show(self._understand())

    def add_waiting(self, lines: tuple[str, ...]) -> None:
        """Have lines wait that were found late; the line that is being typed is left alone."""
        self._queue.waiting += map(read_draft_line, lines)
        self._changed_queue()

    def show_draft_failure(self, why: str) -> None:
        """Say beside the line why what is typed is not on disk yet; "" once it is."""
        self._no_draft = reason(why).partition(". ")[0].partition(" in the book")[0]
        self._show_waiting()

    def _put_back(self, line: WaitingLine) -> None:
        """A line on the line again; what was typed after it waits, each line by itself."""
        self._queue.give_back(self._on_line)
        self._put_on_line(line)

    def _put_on_line(self, line: WaitingLine) -> None:
        """Put a line on the line, with no preview yet."""
        self._came = line
        with self.prevent(Input.Changed):
            self.restore(line.text)
        self._changed_queue()

    def comes_into_view(self) -> None:
        """The line has the keys again, or a text by itself: an Enter must have seen it."""
        self._shown_at_s = get_time()

    def holds_back(self, entered_s: float) -> bool:
        """Whether an Enter came before what it would log could be read; the next one logs it."""
        if not self.line.value.strip():
            return False
        if entered_s < self._shown_at_s + BOUNCE_S:
            return True
        if not self._cut or self._cut_was_said:
            return False
        self._cut_was_said = True
        self._not_taken = f"{self._not_taken} Enter again logs what stands."
        self._show_waiting()
        self.comes_into_view()
        return True

    def edits_line(self, *, types: bool) -> None:
        """A key goes to the line. A letter begins a line of its own: it isn't joined to one that
        came to the line by itself; that one waits again. Any other key edits the one that came.
        """
        if self._is_offered and types and self.line.value:
            self._queue.waiting.insert(0, self._on_line)
            self._put_on_line(WaitingLine())
        self._is_offered = False
        self._shown_at_s = -inf

    def _changed_queue(self) -> None:
        self._show_waiting()
        self.post_message(self.Typed(self.unkept))

    def enter(self, line: str) -> None:
        """Save a line that a page wrote; one that is half typed is left alone."""
        from logbook.screen.services.understand_line import read_line

        understood = read_line(self.desk, line)
        if understood.entry is not None:
            self.post_message(JobWanted(keep_understood(understood, None)))
            return
        if not self.line.value.strip():
            self.begin(line)
            self.take_keys()
        self._show(understood)

    def understand_again(self) -> None:
        """Objects can be found now, or time has passed: look at a half-typed line once more."""
        if self.line.value.strip() and self._shows_preview:
            self._show(self._understand())

    def _understand(self) -> "Understood | None":
        """What the line means; None for an empty one, or while it cannot be read."""
        typed = self.line.value
        if not self._can_read or not typed.strip():
            return None
        from logbook.screen.services.understand_line import read_since

        return read_since(self.desk, typed, self._came)

    def _show(self, understood: "Understood | None") -> None:
        """Say what Enter would do with the line that is typed."""
        words, refused = self._preview(understood)
        self.say(words, bold=refused)
        self._shows_preview = bool(self.line.value.strip())

    def _preview(self, understood: "Understood | None") -> tuple[str, bool]:
        """What Enter would do, and whether it would refuse."""
        if not self._can_read and self.line.value.strip():
            return (OPENING_WORDS if self.desk.book is None else CATALOGUE_WORDS), False
        if understood is None:
            return (IDLE_WORDS if self.app.size.width >= 80 else IDLE_WORDS_NARROW), False
        from logbook.screen.services.understand_line import words_before_enter

        return words_before_enter(self.desk, understood)

    def _say_with_preview(self, words: str) -> None:
        """Say what became of a line; one on the line now keeps its preview below."""
        understood = self._understand()
        preview = f"\n{self._preview(understood)[0]}" if understood is not None else ""
        self.say(f"{words}{preview}")
        self._outcome = words

    def say_more(self, words: str) -> None:
        """Add to what was shown of something; a line typed meanwhile keeps its preview below."""
        self._say_with_preview(f"{self._outcome}\n{words}".strip())

    @on(Input.Changed, "#line")
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        if not self.line.value:
            self._came = WaitingLine()  # what is typed from now on is another line
            self._cut = 0
        self.post_message(self.Typed(self.unkept))
        self._show(self._understand())

    # --- several lines ---

    def enter_typed(self) -> None:
        """Enter was pressed: the line goes on its way, and the next that waits comes to it."""
        self.read_begun()
        self._begun = ("", "")
        line = self._on_line
        self._note_cut(0, 0)
        self._is_offered = False
        if not line.text.strip():
            self._next_to_line()
            return
        line = replace(line, at_utc=line.at_utc or self.desk.clock())
        if self._queue.on_its_way or not self._can_read:
            self._queue.entered.append(line)
            self._clear_entered()
        else:
            self._send(line, self._understand())

    def _send(self, line: WaitingLine, understood: "Understood | None") -> None:
        """Send the line on its way, if it was understood."""
        if understood is None or understood.entry is None:
            self._came = line
            self._show(understood)
            self._changed_queue()
            return
        with self.prevent(Input.Changed):
            self.restore("")
        self._set_out(understood, line)
        self._clear_entered()

    def _clear_entered(self) -> None:
        """The line was entered: the next that waits comes to it, and its own preview goes."""
        self._next_to_line()
        if self._queue.on_its_way and not self.line.value:
            self.say(SAVING_WORDS)
        elif not self.line.value:
            self._show(None)

    def _next_to_line(self) -> None:
        self._put_on_line(self._queue.next_waiting())
        self._is_offered = bool(self.line.value)
        if self.line.value:
            self._show(self._understand())

    def _send_next_entered(self) -> None:
        """Send the line that follows on its way; one that isn't understood comes back."""
        is_early = self._queue.early > 0
        entered = self._queue.next_entered()
        if entered is None:
            return
        from logbook.screen.services.understand_line import read_line

        understood = read_line(self.desk, entered.text, entered.at_utc)
        if understood.entry is None or (is_early and not understood.is_whole):
            self._put_back(entered)
            self._show(understood)
            return
        self._set_out(understood, entered)

    def _set_out(self, understood: "Understood", line: WaitingLine) -> None:
        self._queue.on_its_way = line
        self._last_typed = WaitingLine(line.text)
        self.set_timer(SLOW_S, lambda: self._still_on_its_way(line))
        self.post_message(self.Entered(understood, line, self.unkept))

    def _still_on_its_way(self, line: WaitingLine) -> None:
        self._is_slow = self._queue.on_its_way == line
        self._show_waiting()

    def _arrived(self) -> None:
        """The line that was on its way is on disk, or comes back."""
        self._queue.on_its_way, self._is_slow = None, False
        self._show_waiting()

    def take_pasted(self, text: str) -> None:
        """Put the first pasted line on the line; the others wait, each for its Enter."""
        lines = [printable(each.replace("\t", " ")) for each in text.splitlines() if each.strip()]
        if not lines:
            return
        start, end = sorted(self.line.selection)
        room = LONGEST_TYPED - len(self.line.value) + end - start
        first = _that_fits(lines[0], room)
        others = [_that_fits(each, LONGEST_TYPED) for each in lines[1:]]
        cut = sum(map(len, lines)) - sum(map(len, [first, *others]))
        left_out = self._queue.add(others)
        self.line.replace(first, start, end)
        self._note_cut(cut, left_out)
        self._changed_queue()

    def lost_letter(self) -> None:
        """No more goes on the line."""
        self._note_cut(self._cut + 1, 0)
        self._show_waiting()

    def _note_cut(self, cut: int, left_out: int) -> None:
        self._cut, self._cut_was_said = cut, False
        self._not_taken = _not_taken_words(cut, left_out)

    def _show_waiting(self) -> None:
        """Say below the words what waits, what was not taken and what is not on disk yet."""
        words = " ".join(filter(None, self._waiting_words()))
        shown = self.query_one("#waiting", Static)
        shown.update(Text(words, style="bold"))
        shown.display = bool(words)

    def _waiting_words(self) -> Iterator[str]:
        queue = self._queue
        if not self._can_read and queue.entered:
            awaited = "the book" if self.desk.book is None else "the names of the sky"
            yield f"{_lines(len(queue.entered))} for {awaited}."
        elif self._is_slow and queue.on_its_way:
            yield f"Being saved: {queue.on_its_way.text[:40]}"
            yield f"· {len(queue.entered)} more after it." if queue.entered else ""
        if queue.waiting:
            yield f"{_lines(len(queue.waiting), 'more ')}: one Enter each."
        yield self._not_taken
        if self._no_draft and (self.unkept or queue.on_its_way):
            yield f"What is typed is not on disk yet ({self._no_draft}); it is tried again."

    def complete(self) -> None:
        """Put the likeliest ending in place."""
        understood = self._understand()
        if understood is not None and understood.completions:
            self.restore(understood.completions[0])

    def recall(self) -> None:
        """Bring the last line back."""
        if not self.line.value and self._last_typed.text:
            self._came = self._last_typed
            self.restore(self._last_typed.text)


def _that_fits(line: str, room: int) -> str:
    """The beginning of a line, up to a whole word, so that no number is cut short."""
    if len(line) <= room:
        return line
    return line[: room + 1].rpartition(" ")[0] or line[:room]


def _not_taken_words(cut: int, left_out: int) -> str:
    """What of a paste found no space."""
    words = []
    if cut:
        words.append(
            f"{cut:,} character{'' if cut == 1 else 's'} not taken: a line takes {LONGEST_TYPED:,}."
        )
    if left_out:
        words.append(f"{left_out:,} pasted lines not taken: {MOST_WAITING} may wait.")
    return " ".join(words)


def _lines(number: int, which: str = "") -> str:
    """`2 more lines wait`."""
    return f"{number} {which}line waits" if number == 1 else f"{number} {which}lines wait"
