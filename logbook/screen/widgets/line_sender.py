"""The lines that are typed: the one on the line, what is on its way, what waits for its Enter."""

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from rich.text import Text
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from logbook.entryline.waiting_line import WaitingLine, read_draft_line
from logbook.screen.services.failures import reason
from logbook.screen.services.line_queue import LineQueue
from logbook.screen.services.services import Desk
from logbook.screen.widgets.grammar import Grammar
from logbook.screen.widgets.line_words import LineWords
from logbook.screen.widgets.on_line import OnLine
from logbook.screen.widgets.unseen import LONGEST_TYPED, Unseen, that_fits
from logbook.text import printable

if TYPE_CHECKING:
    from logbook.entryline.context import Understood

SLOW_S = 0.5  # a line that takes longer to be written is shown to be on its way
SAVING_WORDS = "Saving …"


class LinesTyped(Message):
    """What was typed and is not on its way changed; it is worth keeping as drafts."""

    def __init__(self, drafts: tuple[str, ...]) -> None:
        super().__init__()
        self.drafts = drafts


class LineEntered(Message):
    """A line was understood and is to be saved.

    `rest` -- the drafts of the lines that were typed besides.
    """

    def __init__(self, understood: "Understood", line: WaitingLine, rest: tuple[str, ...]) -> None:
        super().__init__()
        self.understood = understood
        self.line = line
        self.rest = rest


class LineSender:
    """Reads the line, sends it on its way at Enter, and puts it back if it could not be saved."""

    def __init__(self, bar: Widget, desk: Desk, on_line: OnLine, words: LineWords) -> None:
        self.unseen = Unseen()
        self._on = on_line
        self._bar = bar
        self._desk = desk
        self._words = words
        self._queue = LineQueue()
        self._is_slow = False  # what is on its way takes long
        self._no_draft = ""  # why what is typed is not on disk yet
        self._is_offered = False  # the line came by itself: what is typed isn't joined to it

    @property
    def unkept(self) -> tuple[str, ...]:
        """All lines that were typed and are not on their way to the disk, as drafts."""
        return tuple(each.draft for each in self._queue.besides(self._on.line))

    # --- the line ---

    def changed(self) -> None:
        """What is on the line is another text now."""
        if not self._on.text:
            self._on.came = WaitingLine()  # what is typed from now on is another line
            self.unseen.is_emptied()
        self._bar.post_message(LinesTyped(self.unkept))
        self._show(self._on.understand())

    def edits(self, *, types: bool) -> None:
        """A key goes to the line. A letter begins a line of its own: it isn't joined to one that
        came to the line by itself; that one waits again. Any other key edits the one that came.
        """
        if self._is_offered and types and self._on.text:
            self._queue.waiting.insert(0, self._on.line)
            self._put_on_line(WaitingLine())
        self._is_offered = False
        self.unseen.is_seen()

    def holds_back(self, entered_s: float) -> bool:
        """Whether an Enter came before what it would log could be read; the next one logs it."""
        if self._on.is_empty:
            return False
        if self.unseen.came_too_soon(entered_s):
            return True
        if not self.unseen.says_cut():
            return False
        self.show_waiting()
        return True

    # --- what it means ---

    def understand_again(self) -> None:
        """Objects can be found now, or time has passed: look at a half-typed line once more."""
        if not self._on.is_empty and self._words.shows_preview:
            self._show(self._on.understand())

    def _show(self, understood: "Understood | None") -> None:
        self._words.show(self._on.text, understood)

    def say_outcome(self, words: str) -> None:
        """Say what became of a line; one on the line now keeps its preview below."""
        self._words.say_outcome(words, self._on.text, self._on.understand())

    # --- on its way, and back ---

    def enter(self) -> None:
        """Enter was pressed: the line goes on its way, and the next that waits comes to it."""
        line = self._on.line
        self.unseen.note_cut(0)
        self._is_offered = False
        if not line.text.strip():
            self._next_to_line()
            return
        line = replace(line, at_utc=line.at_utc or self._desk.clock())
        if self._queue.on_its_way or not self._desk.can_read_lines:
            self._queue.entered.append(line)
            self._clear_entered()
        else:
            self._send(line, self._on.understand())

    def _send(self, line: WaitingLine, understood: "Understood | None") -> None:
        """Send the line on its way, if it was understood."""
        if understood is None or understood.entry is None:
            self._on.came = line
            self._show(understood)
            self._changed_queue()
            return
        self._on.put_text("")
        self._set_out(understood, line)
        self._clear_entered()

    def _clear_entered(self) -> None:
        """The line was entered: the next that waits comes to it, and its own preview goes."""
        self._next_to_line()
        if self._queue.on_its_way and not self._on.text:
            self._words.say(SAVING_WORDS)
        elif not self._on.text:
            self._show(None)

    def _set_out(self, understood: "Understood", line: WaitingLine) -> None:
        self._queue.on_its_way = line
        self._on.last_typed = WaitingLine(line.text)
        self._bar.set_timer(SLOW_S, lambda: self._still_on_its_way(line))
        self._bar.post_message(LineEntered(understood, line, self.unkept))

    def _still_on_its_way(self, line: WaitingLine) -> None:
        self._is_slow = self._queue.on_its_way == line
        self.show_waiting()

    def arrived(self) -> None:
        """The line that was on its way is on disk; one entered meanwhile comes next.

        It was not understood before, because what it means may hang on the line before it.
        """
        self._ends_its_way()
        self._send_next_entered()

    def came_back(self, typed: str) -> None:
        """The line that was on its way could not be saved; what was typed since waits."""
        line = self._queue.on_its_way or WaitingLine(typed)
        self._ends_its_way()
        self._put_back(line)
        self._is_offered = True

    def _ends_its_way(self) -> None:
        self._queue.on_its_way, self._is_slow = None, False
        self.show_waiting()

    def _send_next_entered(self) -> None:
        """Send the line that follows on its way; one that isn't understood comes back."""
        is_early = self._queue.early > 0
        entered = self._queue.next_entered()
        if entered is None:
            return
        understood = Grammar().read_line(self._desk, entered.text, entered.at_utc)
        if understood.entry is None or (is_early and not understood.is_whole):
            self._put_back(entered)
            self._show(understood)
            return
        self._set_out(understood, entered)

    def _put_back(self, line: WaitingLine) -> None:
        """A line on the line again; what was typed after it waits, each line by itself."""
        self._queue.give_back(self._on.line)
        self._put_on_line(line)

    def _put_on_line(self, line: WaitingLine) -> None:
        """Put a line on the line, with no preview yet."""
        self._on.put(line)
        self._changed_queue()

    # --- what waits ---

    def _next_to_line(self) -> None:
        self._put_on_line(self._queue.next_waiting())
        self._is_offered = bool(self._on.text)
        if self._on.text:
            self._show(self._on.understand())

    def book_opened(self, left: tuple[str, ...]) -> None:
        """The book is there: what was left half typed last time waits after what was typed."""
        self._queue.waiting += map(read_draft_line, left)
        self.begin_reading()
        if self._on.is_empty:
            self._next_to_line()
            self._is_offered = False  # it was half typed: what is typed goes on with it
        self._changed_queue()

    def begin_reading(self) -> None:
        """Read what was typed before book and catalogue were there.

        Enter pressed early counts for a line that is understood whole, and for no other.
        """
        if self._desk.can_read_lines:
            self._queue.early = len(self._queue.entered)
            self._send_next_entered()
        self.understand_again()

    def add_waiting(self, lines: tuple[str, ...]) -> None:
        """Have lines wait that were found late; the line that is being typed is left alone."""
        self._queue.waiting += map(read_draft_line, lines)
        self._changed_queue()

    def take_pasted(self, text: str) -> None:
        """Put the first pasted line on the line; the others wait, each for its Enter."""
        lines = [printable(each.replace("\t", " ")) for each in text.splitlines() if each.strip()]
        if not lines:
            return
        start, end = sorted(self._on.input.selection)
        room = LONGEST_TYPED - len(self._on.text) + end - start
        first = that_fits(lines[0], room)
        others = [that_fits(each, LONGEST_TYPED) for each in lines[1:]]
        cut = sum(map(len, lines)) - sum(map(len, [first, *others]))
        left_out = self._queue.add(others)
        self._on.input.replace(first, start, end)
        self.unseen.note_cut(cut, left_out)
        self._changed_queue()

    def lost_letter(self) -> None:
        """No more goes on the line."""
        self.unseen.note_letter()
        self.show_waiting()

    def _changed_queue(self) -> None:
        self.show_waiting()
        self._bar.post_message(LinesTyped(self.unkept))

    def show_draft_failure(self, why: str) -> None:
        """Say beside the line why what is typed is not on disk yet; "" once it is."""
        self._no_draft = reason(why).partition(". ")[0].partition(" in the book")[0]
        self.show_waiting()

    def show_waiting(self) -> None:
        """Say below the words what waits, what was not taken and what is not on disk yet."""
        words = " ".join(filter(None, self._waiting_words()))
        shown = self._bar.query_one("#waiting", Static)
        shown.update(Text(words, style="bold"))
        shown.display = bool(words)

    def _waiting_words(self) -> Iterator[str]:
        queue = self._queue
        if not self._desk.can_read_lines and queue.entered:
            awaited = "the book" if self._desk.book is None else "the names of the sky"
            yield f"{_lines(len(queue.entered))} for {awaited}."
        elif self._is_slow and queue.on_its_way:
            yield f"Being saved: {queue.on_its_way.text[:40]}"
            yield f"· {len(queue.entered)} more after it." if queue.entered else ""
        if queue.waiting:
            yield f"{_lines(len(queue.waiting), 'more ')}: one Enter each."
        yield self.unseen.not_taken
        if self._no_draft and (self.unkept or queue.on_its_way):
            yield f"What is typed is not on disk yet ({self._no_draft}); it is tried again."


def _lines(number: int, which: str = "") -> str:
    """`2 more lines wait`."""
    return f"{number} {which}line waits" if number == 1 else f"{number} {which}lines wait"
