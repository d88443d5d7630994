"""The base of every sheet, form and list that lies over a page: it closes once.

Two closing keys may come in one packet. The second must find nothing to close, neither this screen
again nor the page below it. A letter that would write is asked about first, as on a page.
"""

from typing import TypeVar

from textual import on
from textual.app import App
from textual.await_complete import AwaitComplete
from textual.command import Command, CommandList, CommandPalette
from textual.events import Key
from textual.screen import ModalScreen
from textual.widgets import Input

from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.letter_question import LetterQuestion

T = TypeVar("T")
PALETTE_WORDS = "Letters find an action, ↓ ↑ choose one, Enter does it"


class Modal(ModalScreen[T]):
    """What lies over a page. It closes only while it is the one in view.

    letters -- what is asked before a letter writes.
    """

    def __init__(self) -> None:
        super().__init__()
        self.letters = LetterQuestion(self)

    def dismiss(self, result: T | None = None) -> AwaitComplete:
        if self.app.screen is not self:
            return AwaitComplete()
        _show_line(self.app)
        return super().dismiss(result)

    def give_way(self) -> None:
        """Close: what was typed is a line, and none of it was meant for this."""
        self.dismiss(None)

    def question_before(self, key: str) -> str:
        """What is asked before a key writes; nothing for one that writes nothing."""
        del key
        return ""

    def say(self, words: str) -> None:
        """Say on the sheet what is asked, or what became of a wish."""

    async def on_key(self, event: Key) -> None:
        await self.letters.take(event)

    def on_mouse_down(self) -> None:
        self.letters.drop()


def _show_line(app: App[object]) -> None:
    """What lay over the page goes: the key that closed it, coming twice, is none for the line."""
    for bar in app.query(EntryBar):
        bar.lines.unseen.comes_into_view()


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
