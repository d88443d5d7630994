"""Kit: parts and trains, what they measure and weigh, the numbers of the chosen train."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.widgets import OptionList, Static

from logbook.screen.pages.kit.keys import KEY_WORDS, KIT_KEYS, take_chosen
from logbook.screen.pages.kit.list import KitList
from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.page_keys import bindings_of


class KitPage(Page):
    """Trains and parts in one list; what the chosen one is stands beside or under it."""

    TITLE = "Kit"
    KEYS = KIT_KEYS
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(KEYS)
    DEFAULT_CSS = """
    KitPage #kit-head { height: 1; text-style: italic; }
    KitPage #kit-body { height: 1fr; layout: vertical; }
    KitPage #kit-list { height: 7; border: none; padding: 0; background: $background; }
    KitPage #kit-list:focus { border: none; }
    KitPage #kit-what { height: 1fr; padding: 0 1; }
    KitPage #kit-keys { height: 1; color: $text-muted; }
    """

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.held: KitList = KitList(self)

    def compose(self) -> ComposeResult:
        yield Static(id="kit-head", markup=False)
        with Container(id="kit-body"):
            yield OptionList(id="kit-list", markup=False)
            with VerticalScroll(id="kit-what", can_focus=False):
                yield Static(id="kit-words", markup=False)
        yield Static(Text(KEY_WORDS), id="kit-keys", markup=False)

    def take_focus(self) -> None:
        self.held.options.focus()

    def on_resize(self) -> None:
        self.redraw()

    def redraw(self) -> None:
        self.held.redraw()

    @on(OptionList.OptionHighlighted, "#kit-list")
    def _highlighted(self) -> None:
        self.held.describe()

    @on(OptionList.OptionSelected, "#kit-list")
    def _selected(self) -> None:
        take_chosen(self.held)
