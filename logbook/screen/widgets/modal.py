"""The base of every sheet, form and list that lies over a page: it closes once.

Two closing keys may come in one packet. The second must find nothing to close, neither this screen
again nor the page below it. A letter that would write is asked about first, as on a page.
"""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from textual import on
from textual.app import App
from textual.await_complete import AwaitComplete
from textual.command import Command, CommandList, CommandPalette
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import Input

from logbook.screen.services.messages import LineWasTyped
from logbook.screen.widgets.entry_bar import NOTHING_LOGGED, YES_OR_NO, EntryBar

T = TypeVar("T")
PALETTE_WORDS = "Letters find an action, ↓ ↑ choose one, Enter does it"


@dataclass(frozen=True, slots=True)
class AskedHere:
    """A letter of a sheet would write: Enter does it, any other key drops it."""

    letter: str
    do: Callable[[], Awaitable[object]]


class Modal(ModalScreen[T]):
    """What lies over a page. It closes only while it is the one in view."""

    _asked: AskedHere | None = None

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        if self.app.screen is not self:
            return AwaitComplete()
        _show_line(self.app)
        return super().dismiss(result)

    def give_way(self) -> None:
        """Close: what was typed is a line, and none of it was meant for this."""
        self.dismiss(None)

    # --- letters ---

    def question_before(self, key: str) -> str:
        """What is asked before a key writes; nothing for one that writes nothing."""
        del key
        return ""

    def say(self, words: str) -> None:
        """Say on the sheet what is asked, or what became of a wish."""

    def drop_question(self) -> None:
        """What was asked is not done, and says so."""
        if self._asked is not None:
            self._asked = None
            self.say(NOTHING_LOGGED)

    async def on_key(self, event: Key) -> None:
        """A letter that would write is asked about first; one that means nothing here, in a word
        that began on the page, was typed for the line."""
        if isinstance(self.focused, Input):
            return
        sign = event.character or "" if event.is_printable else ""
        if self._asked is not None and (event.key in ("enter", "escape") or self._bounces(sign)):
            event.stop()
            await self._answer_asked(event.key)
            return
        self.drop_question()
        if not sign:
            return
        if event.key not in self._bindings.key_to_bindings:
            if len(self.app.query_one(EntryBar).run.text) > 1:
                event.stop()
                self.app.post_message(LineWasTyped())
        elif words := self.question_before(event.key):
            event.stop()
            self._ask(event.key, sign, words)

    def on_mouse_down(self) -> None:
        self.drop_question()

    def _ask(self, key: str, sign: str, words: str) -> None:
        binding = self._bindings.key_to_bindings[key][0]
        self._asked = AskedHere(sign, partial(self.app.run_action, binding.action, self))
        self.say(f"{sign.strip() or 'space'}: {words}? {YES_OR_NO}")

    def _bounces(self, sign: str) -> bool:
        """Whether it is the key that asked: it is no answer."""
        return self._asked is not None and sign == self._asked.letter

    async def _answer_asked(self, key: str) -> None:
        if key == "enter" and self._asked is not None:
            do, self._asked = self._asked.do, None
            self.say("")
            await do()
        elif key == "escape":
            self.drop_question()


def _show_line(app: App[object]) -> None:
    """What lay over the page goes: the key that closed it, coming twice, is none for the line."""
    for bar in app.query(EntryBar):
        bar.comes_into_view()


class Palette(CommandPalette):
    """The search of every action. It closes in the same way, and nothing on it blinks.

    Nothing is chosen, so that Enter does nothing, until a letter or an arrow says what.
    """

    def __init__(self) -> None:
        super().__init__(placeholder=PALETTE_WORDS, id="--command-palette")

    def on_mount(self) -> None:
        self.query_one(Input).cursor_blink = False

    def _refresh_command_list(
        self, command_list: CommandList, commands: list[Command], clear_current: bool
    ) -> None:
        chosen = command_list.highlighted
        super()._refresh_command_list(command_list, commands, clear_current)
        if not self.query_one(Input).value.strip():
            command_list.highlighted = chosen

    @on(Input.Submitted)
    def _nothing_chosen(self, event: Input.Submitted) -> None:
        if self.query_one(CommandList).highlighted is None:
            event.stop()
            event.prevent_default()

    def dismiss(self, result: None = None) -> AwaitComplete:
        if self.app.screen is not self:
            return AwaitComplete()
        _show_line(self.app)
        return super().dismiss(result)
