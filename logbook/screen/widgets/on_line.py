"""The one line that is being typed, as it stands and as it came there."""

from typing import TYPE_CHECKING

from textual.widget import Widget
from textual.widgets import Input

from logbook.entryline.waiting_line import WaitingLine
from logbook.screen.services.services import Desk
from logbook.screen.widgets.grammar import Grammar

if TYPE_CHECKING:
    from logbook.entryline.context import Understood


class OnLine:
    """What stands on the line, what it means, and the last line, which can be brought back."""

    def __init__(self, bar: Widget, desk: Desk) -> None:
        self.last_typed = WaitingLine()
        self.came = WaitingLine()  # the line as Enter was pressed on it before, or as it came
        self._bar = bar
        self._desk = desk

    @property
    def input(self) -> Input:
        return self._bar.query_one("#line", Input)

    @property
    def text(self) -> str:
        return self.input.value

    @property
    def is_empty(self) -> bool:
        return not self.text.strip()

    @property
    def line(self) -> WaitingLine:
        """The line as it is typed; unless it was changed, it bears the time of its first Enter."""
        typed = self.text
        return self.came if typed == self.came.text else WaitingLine(typed)

    def restore(self, text: str) -> None:
        """Put text back into the line: a draft of last time, or a line that could not be saved."""
        self.input.value = text
        self.input.cursor_position = len(text)

    def put(self, line: WaitingLine) -> None:
        """Put a line on the line, with no preview yet."""
        self.came = line
        self.put_text(line.text)

    def put_text(self, text: str) -> None:
        with self._bar.prevent(Input.Changed):
            self.restore(text)

    def clear(self) -> None:
        """Empty the line; `recall` brings it back."""
        self.last_typed, self.came = self.line, WaitingLine()
        self.input.value = ""

    def recall(self) -> None:
        """Bring the last line back."""
        if not self.text and self.last_typed.text:
            self.came = self.last_typed
            self.restore(self.last_typed.text)

    def understand(self) -> "Understood | None":
        """What the line means; None for an empty one, or while it cannot be read."""
        if not self._desk.can_read_lines or self.is_empty:
            return None
        return Grammar().read_since(self._desk, self.text, self.came)

    def complete(self) -> None:
        """Put the likeliest ending in place."""
        understood = self.understand()
        if understood is not None and understood.completions:
            self.restore(understood.completions[0])
