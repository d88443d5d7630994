"""A question with two answers: one key says yes; Escape says no, and so does typing on.

Whoever types on did not read the question: a later letter of the same line must not say yes.
"""

from time import monotonic
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.events import Key
from textual.widgets import Static

from logbook.screen.widgets.modal import Modal
from logbook.screen.widgets.typed_run import FOLLOWS_S


class Question(Modal[bool]):
    """Asks before something is written.

    yes_key -- never the key that led here: a key that bounces must not answer.
    """

    DEFAULT_CSS = """
    Question .sheet { width: 100%; max-width: 72; height: auto; }
    Question Static { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "answer(False)", "No", tooltip="Leave everything as it is"),
    ]

    def __init__(self, words: str, yes: str, yes_key: str) -> None:
        super().__init__()
        self._words = words
        self._yes_key = yes_key
        self._other, self._other_s = "", 0.0
        self._foot = f"{yes_key.capitalize()}: {yes}   Escape: no"
        self._bindings.bind(yes_key, "answer(True)", yes)

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._words, style="bold"), markup=False)
            yield Static(Text(self._foot), markup=False)

    async def on_key(self, event: Key) -> None:
        if not event.is_printable or event.key == self._yes_key:
            return
        event.stop()
        if self._other and event.key != self._other:
            self.dismiss(False)
        self._other, self._other_s = event.key, event.time  # one alone may be a key that bounced

    def action_answer(self, answer: bool) -> None:
        typed_on = self._other != "" and monotonic() - self._other_s <= FOLLOWS_S
        self.dismiss(answer and not typed_on)
