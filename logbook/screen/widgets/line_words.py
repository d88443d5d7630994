"""The words above the entry line: what Enter would do, what is asked, what became of something."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.text import Text
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from logbook.screen.services.services import Desk
from logbook.screen.widgets.grammar import Grammar

if TYPE_CHECKING:
    from logbook.entryline.context import Understood

IDLE_WORDS = "Type what happened:  seeing 3/5   start m31   20 x 180s Ha   turn A tighten 1/8"
IDLE_WORDS_NARROW = "Type what happened:  seeing 3/5   20 x 180s Ha"
OPENING_WORDS = "The book is being opened; what is typed waits for it."
CATALOGUE_WORDS = "The names of the sky are being read; what is typed waits for them."
NOTHING_LOGGED = "Nothing was logged."


@dataclass(frozen=True, slots=True)
class Asked:
    """A key of a page would write: Enter does it, Escape drops it, other letters are typed.

    typed -- the letter as it was typed; it goes on the line if it was meant for that.
    """

    words: str
    do: Callable[[], Awaitable[object]]
    typed: str = ""


class QuestionChanged(Message):
    """Something else is asked, or nothing any more."""


class LineWords:
    """What stands above the line; one thing takes the place of another."""

    def __init__(self, bar: Widget, desk: Desk) -> None:
        self.question: Asked | None = None
        self.shows_preview = False  # they say what Enter would do
        self._bar = bar
        self._desk = desk
        self._outcome = ""  # the words, as far as they say what became of something

    def say(self, words: str, *, bold: bool = False) -> None:
        """Say something above the line."""
        self.shows_preview = False
        self._set_question(None)  # it isn't there to be read any more
        self._outcome = ""
        shown = self._bar.query_one("#understood", Static)
        shown.update(Text(words, style="bold" if bold else ""))

    def ask(self, question: Asked) -> None:
        """Ask before something is written."""
        self.say(question.words, bold=True)
        self._set_question(question)

    def drop_question(self) -> None:
        """What was asked is not done, and says so."""
        if self.question is not None:
            self.say(NOTHING_LOGGED)

    def _set_question(self, question: Asked | None) -> None:
        if question is not self.question:
            self.question = question
            self._bar.post_message(QuestionChanged())

    def show(self, typed: str, understood: "Understood | None") -> None:
        """Say what Enter would do with the line that is typed."""
        words, refused = self._preview(typed, understood)
        self.say(words, bold=refused)
        self.shows_preview = bool(typed.strip())

    def _preview(self, typed: str, understood: "Understood | None") -> tuple[str, bool]:
        """What Enter would do, and whether it would refuse."""
        if not self._desk.can_read_lines and typed.strip():
            return (OPENING_WORDS if self._desk.book is None else CATALOGUE_WORDS), False
        if understood is None:
            return (IDLE_WORDS if self._bar.app.size.width >= 80 else IDLE_WORDS_NARROW), False
        return Grammar().words_before_enter(self._desk, understood)

    def say_outcome(self, words: str, typed: str, understood: "Understood | None") -> None:
        """Say what became of a line; one on the line now keeps its preview below."""
        preview = f"\n{self._preview(typed, understood)[0]}" if understood is not None else ""
        self.say(f"{words}{preview}")
        self._outcome = words

    def outcome_with(self, words: str) -> str:
        """What was shown of something, and more of it."""
        return f"{self._outcome}\n{words}".strip()
