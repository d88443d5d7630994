"""The base of every sheet, form and list that lies over a page: it closes once.

Two closing keys may come in one packet. The second must find nothing to close, neither this screen
again nor the page below it.
"""

from typing import TypeVar

from textual.await_complete import AwaitComplete
from textual.command import CommandPalette
from textual.screen import ModalScreen
from textual.widgets import Input

T = TypeVar("T")


class Modal(ModalScreen[T]):
    """What lies over a page. It closes only while it is the one in view."""

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        return super().dismiss(result) if self.app.screen is self else AwaitComplete()


class Palette(CommandPalette):
    """The search of every action. It closes in the same way, and nothing on it blinks."""

    def on_mount(self) -> None:
        self.query_one(Input).cursor_blink = False

    def dismiss(self, result: None = None) -> AwaitComplete:
        return super().dismiss(result) if self.app.screen is self else AwaitComplete()
