"""The book is not there or cannot be opened: why, and what can be done. It was left untouched."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from logbook.screen.widgets.modal import Modal
from logbook.screen.widgets.question import Question

if TYPE_CHECKING:
    from logbook.store.file.backups import Copy


class Refused(Modal[str]):
    """Says why, and offers what can be done. The newest copy is put back after a question.

    copy -- the newest copy that looks sound, if there is one.
    is_missing -- there is no book, so that a new one may be made.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o,enter", "answer('again')", "Again", tooltip="Try to open it again"),
        Binding("d", "answer('demo')", "Demo", tooltip="Look at the demo season instead"),
    ]

    def __init__(self, words: str, copy: "Copy | None" = None, *, is_missing: bool = False) -> None:
        super().__init__()
        self._words = words
        self._copy = copy
        self._heading = "There is no book" if is_missing else "The book was not opened"
        self._choices = ["o: try again"]
        if copy is not None:
            self._bindings.bind("r", "put_back", "Put back")
            self._choices.append("r: put the newest copy back")
        if is_missing:
            self._bindings.bind("n", "answer('new')", "New")
            self._choices.append("n: a new book")
        self._choices += ["d: the demo season instead", "ctrl+q: leave"]

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            yield Static(Text(self._words), markup=False)
            yield Static(Text(""), markup=False)
            if self._copy is not None:
                yield Static(Text(_held(self._copy)), markup=False)
            yield Static(Text("    ".join(self._choices), style="bold"), markup=False)

    def action_answer(self, what: str) -> None:
        self.dismiss(what)

    def action_put_back(self) -> None:
        assert self._copy is not None
        question = Question(f"Put this copy back? {_held(self._copy)}", "put it back", "enter")

        def answered(yes: bool | None) -> None:
            if yes:
                self.dismiss("copy")

        self.app.push_screen(question, answered)


def _held(copy: "Copy") -> str:
    nights = "1 night" if copy.nights == 1 else f"{copy.nights} nights"
    last = f", the last of {copy.last_night}" if copy.last_night else ""
    return f"Newest copy: {copy.made_utc:%Y-%m-%d %H:%M} UTC, {nights}{last}."
