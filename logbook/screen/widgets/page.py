"""What every page of the screen has in common."""

from collections.abc import Awaitable, Callable
from functools import partial
from inspect import isawaitable
from typing import Any, ClassVar

from textual.binding import Binding
from textual.containers import Vertical, VerticalScroll
from textual.dom import DOMNode
from textual.events import Key
from textual.widgets import Input

from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import YES_OR_NO, EntryBar
from logbook.screen.widgets.line_words import Asked
from logbook.screen.widgets.page_keys import KeyTable, key_named, question_of


class Page(TellsFailures, Vertical):
    """A page. It draws what the desk holds and asks the app to act; it keeps nothing itself."""

    TITLE: ClassVar[str] = ""
    KEYS: ClassVar[KeyTable] = ()  # that work on this page alone

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002 (Textual's own name for it)
        super().__init__(id=id)
        self.desk = desk
        self.held: Any = self  # what the keys of the page work on

    def redraw(self) -> None:
        """Draw anew from the desk: called when the page is turned to and when the book changed."""

    def redraw_sky(self) -> None:
        """Draw what depends on the sky: called when it was computed anew."""

    def redraw_question(self) -> None:
        """Draw what is asked, where the words above the line are too small for the page."""

    def take_focus(self) -> None:
        """Put the cursor where this page starts."""
        self.focus()

    def leave_line(self) -> None:
        """Put the cursor on the page itself: the user left the entry line."""
        self.take_focus()

    def give_way(self) -> None:
        """Close what a letter opened on the page: what was typed is a line."""

    # --- letters while the page has the keys ---

    async def action_press_key(self, keys: str) -> None:
        """Do what a key of this page stands for."""
        done = key_named(self.KEYS, keys).do(self.held)
        if isawaitable(done):
            await done

    def question_before(self, key: str) -> str:
        """What is asked before a key of the page writes; nothing for one that writes nothing."""
        return question_of(self.KEYS, key, self.held)

    def takes(self, key: str) -> bool:
        """Whether a key means something on this page."""
        return key in self._bindings.key_to_bindings

    def ask(self, words: str, do: Callable[[], Awaitable[object]], answers: str) -> None:
        """Ask above the line; Enter does it."""
        self.app.query_one(EntryBar).words.ask(Asked(f"{words} {answers}", do))

    async def on_key(self, event: Key) -> None:
        """A letter that would write is asked about first; one that means nothing here is text."""
        if isinstance(self.screen.focused, Input):
            return
        bar = self.app.query_one(EntryBar)
        sign = event.character or "" if event.is_printable else ""
        question = bar.question
        if question is not None and (sign or event.key in ("enter", "escape")):
            event.stop()
            await self._answered(bar, question, event.key, sign)
        elif question is not None:
            bar.words.drop_question()  # the key does something else, perhaps to what was asked
        elif sign and not self.takes(event.key):
            event.stop()
            bar.type(bar.run.text or sign)
        elif sign and (words := self.question_before(event.key)):
            event.stop()
            shown, typed = sign.strip() or "space", bar.run.text or sign
            bar.words.ask(Asked(f"{shown}: {words}? {YES_OR_NO}", self._run(event.key), typed))

    def on_mouse_down(self) -> None:
        self.app.query_one(EntryBar).words.drop_question()

    def _run(self, key: str) -> Callable[[], Awaitable[bool]]:
        binding: Binding = self._bindings.key_to_bindings[key][0]
        return partial(self.app.run_action, binding.action, self)

    async def _answered(self, bar: EntryBar, question: Asked, key: str, sign: str) -> None:
        bar.words.drop_question()
        if key == "enter":
            await question.do()
        elif sign:
            bar.type(question.typed + sign)


def run_beside(node: DOMNode, work: Callable[[], None], group: str) -> None:
    """Do work of a page, or of the app, in a thread; what its group does already counts no more."""
    node.run_worker(work, thread=True, exclusive=True, exit_on_error=False, group=group)


def read_on(page: Page, where: str) -> None:
    """Scroll what is shown there down by what fits; from the end back to the top."""
    what = page.query_one(where, VerticalScroll)
    if what.scroll_offset.y >= what.max_scroll_y:
        what.scroll_home(animate=False)
    else:
        what.scroll_relative(y=max(1, what.size.height - 1), animate=False)
