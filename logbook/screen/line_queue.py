"""Lines that are typed and not saved yet. Each is saved or comes back by itself; none is joined."""

from dataclasses import dataclass, field
from datetime import datetime

MOST_WAITING = 100


@dataclass(frozen=True, slots=True)
class EnteredLine:
    """A line that Enter was pressed on, and when: that is when it happened, unless it says so."""

    text: str
    at_utc: datetime


@dataclass
class LineQueue:
    """What is on its way, what follows it by itself, and what waits for an Enter of its own.

    on_its_way -- the line that is being written in the book; "" without one.
    entered -- lines that Enter was pressed on meanwhile; they follow one after another.
    early -- how many of these were entered before the book and the catalogue were there.
    waiting -- lines that were pasted or came back; each comes to the line and wants its Enter.
    """

    on_its_way: str = ""
    entered: list[EnteredLine] = field(default_factory=list)
    early: int = 0
    waiting: list[str] = field(default_factory=list)

    def besides(self, on_line: str) -> tuple[str, ...]:
        """All lines in their order but the one on its way; `on_line` is the one being typed."""
        typed = [on_line] if on_line.strip() else []
        return (*(each.text for each in self.entered), *typed, *self.waiting)

    def next_entered(self) -> EnteredLine | None:
        """The line that follows by itself, once nothing is on its way."""
        self.early = max(0, self.early - 1)
        return self.entered.pop(0) if self.entered else None

    def next_waiting(self) -> str:
        """The line that comes to the entry line; "" if none waits."""
        return self.waiting.pop(0) if self.waiting else ""

    def give_back(self, on_line: str) -> None:
        """Nothing follows by itself any more: what was typed since waits, in its order."""
        self.waiting = list(self.besides(on_line))
        self.entered, self.early = [], 0

    def add(self, lines: list[str]) -> int:
        """Have lines wait before those that wait already; how many there was no room for."""
        room = max(0, MOST_WAITING - len(self.waiting))
        self.waiting = lines[:room] + self.waiting
        return len(lines) - len(lines[:room])
