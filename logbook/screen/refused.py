"""The book cannot be opened: why, and what can be done. It was left untouched."""

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Static

from logbook.screen.modal import Modal


class Refused(Modal[str]):
    """Says why; `o` tries again, `d` opens the demo season, ctrl+q leaves."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o,enter", "answer('again')", "Again", tooltip="Try to open it again"),
        Binding("d", "answer('demo')", "Demo", tooltip="Look at the demo season instead"),
    ]

    def __init__(self, words: str) -> None:
        super().__init__()
        self._words = words

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("The book was not opened", style="bold"), markup=False)
            yield Static(Text(self._words), markup=False)
            yield Static(Text(""), markup=False)
            yield Static(
                Text("o: try again    d: the demo season instead    ctrl+q: leave", style="bold"),
                markup=False,
            )

    def action_answer(self, what: str) -> None:
        self.dismiss(what)
