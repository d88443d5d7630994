"""What a sheet asks before a letter of it writes, as a page does."""

from collections.abc import Awaitable, Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from textual.events import Key
from textual.widgets import Input

from logbook.screen.services.messages import LineWasTyped
from logbook.screen.widgets.entry_bar import YES_OR_NO, EntryBar
from logbook.screen.widgets.line_words import NOTHING_LOGGED

if TYPE_CHECKING:
    from logbook.screen.widgets.modal import Modal


class LetterQuestion:
    """The letter that was asked about, if any: Enter does it, any other key drops it."""

    def __init__(self, sheet: "Modal[Any]") -> None:
        self._sheet = sheet
        self._letter = ""
        self._do: Callable[[], Awaitable[object]] | None = None

    def drop(self) -> None:
        """What was asked is not done, and the sheet says so."""
        if self._do is not None:
            self._do = None
            self._sheet.say(NOTHING_LOGGED)

    async def take(self, event: Key) -> None:
        """A letter that would write is asked about first; one that means nothing here, in a word
        that began on the page, was typed for the line."""
        if isinstance(self._sheet.focused, Input):
            return
        sign = event.character or "" if event.is_printable else ""
        bounces = sign == self._letter  # the key that asked is no answer
        if self._do is not None and (event.key in ("enter", "escape") or bounces):
            event.stop()
            await self._answer(event.key)
            return
        self.drop()
        if not sign:
            return
        if event.key not in self._sheet._bindings.key_to_bindings:
            if len(self._sheet.app.query_one(EntryBar).run.text) > 1:
                event.stop()
                self._sheet.app.post_message(LineWasTyped())
        elif words := self._sheet.question_before(event.key):
            event.stop()
            self._ask(event.key, sign, words)

    def _ask(self, key: str, sign: str, words: str) -> None:
        sheet = self._sheet
        binding = sheet._bindings.key_to_bindings[key][0]
        self._letter, self._do = sign, partial(sheet.app.run_action, binding.action, sheet)
        sheet.say(f"{sign.strip() or 'space'}: {words}? {YES_OR_NO}")

    async def _answer(self, key: str) -> None:
        if key == "enter" and self._do is not None:
            do, self._do = self._do, None
            self._sheet.say("")
            await do()
        elif key == "escape":
            self.drop()
