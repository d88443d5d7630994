"""Lines that are typed and not saved yet. Each is saved or comes back by itself; none is joined."""

from dataclasses import dataclass, field

from logbook.entryline.waiting_line import WaitingLine

MOST_WAITING = 100


@dataclass
class LineQueue:
    """What is on its way, what follows it by itself, and what waits for an Enter of its own.

    on_its_way -- the line that is being written in the book, if one is.
    entered -- lines that Enter was pressed on meanwhile; they follow one after another.
    early -- how many of these were entered before the book and the catalogue were there.
    waiting -- lines that were pasted or came back; each comes to the line and wants its Enter.
    """

    on_its_way: WaitingLine | None = None
    entered: list[WaitingLine] = field(default_factory=list)
    early: int = 0
    waiting: list[WaitingLine] = field(default_factory=list)

    def besides(self, on_line: WaitingLine) -> tuple[WaitingLine, ...]:
        """All lines in their order but the one on its way; `on_line` is the one being typed."""
        typed = [on_line] if on_line.text.strip() else []
        return (*self.entered, *typed, *self.waiting)

    def next_entered(self) -> WaitingLine | None:
        """The line that follows by itself, once nothing is on its way."""
        self.early = max(0, self.early - 1)
        return self.entered.pop(0) if self.entered else None

    def next_waiting(self) -> WaitingLine:
        """The line that comes to the entry line; an empty one if none waits."""
        return self.waiting.pop(0) if self.waiting else WaitingLine()

    def give_back(self, on_line: WaitingLine) -> None:
        """Nothing follows by itself any more: what was typed since waits, in its order."""
        self.waiting = list(self.besides(on_line))
        self.entered, self.early = [], 0

    def add(self, lines: list[str]) -> int:
        """Have lines wait before those that wait already; how many there was no room for."""
        room = max(0, MOST_WAITING - len(self.waiting))
        self.waiting = [WaitingLine(each) for each in lines[:room]] + self.waiting
        return len(lines) - len(lines[:room])
