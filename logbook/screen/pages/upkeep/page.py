"""Upkeep: what is due, what was done to the kit, what is wished for."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.widgets import OptionList, Static

from logbook.screen.pages.upkeep.keys import KEY_WORDS, UPKEEP_KEYS, log_done
from logbook.screen.pages.upkeep.list import UpkeepList
from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.page_keys import bindings_of


class UpkeepPage(Page):
    """The rules by how far they have come; all about the chosen one stands under or beside them."""

    TITLE = "Upkeep"
    KEYS = UPKEEP_KEYS
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(KEYS)
    DEFAULT_CSS = """
    UpkeepPage #upkeep-head { height: 1; text-style: italic; }
    UpkeepPage #upkeep-body { height: 1fr; layout: vertical; }
    UpkeepPage #upkeep-list { height: auto; max-height: 50%; border: none; padding: 0;
        background: $background; }
    UpkeepPage #upkeep-list:focus { border: none; }
    UpkeepPage #upkeep-what { height: 1fr; padding: 0 1; }
    UpkeepPage #upkeep-words { height: auto; }
    UpkeepPage #upkeep-keys { height: 1; color: $text-muted; }
    """

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.held: UpkeepList = UpkeepList(self)

    def compose(self) -> ComposeResult:
        yield Static(id="upkeep-head", markup=False)
        with Container(id="upkeep-body"):
            yield OptionList(id="upkeep-list", markup=False)
            with VerticalScroll(id="upkeep-what", can_focus=False):
                yield Static(id="upkeep-words", markup=False)
        yield Static(Text(KEY_WORDS), id="upkeep-keys", markup=False)

    def take_focus(self) -> None:
        self.held.options.focus()

    def on_resize(self) -> None:
        self.held.draw()

    def redraw(self) -> None:
        self.held.read()

    @on(OptionList.OptionHighlighted, "#upkeep-list")
    def _highlighted(self) -> None:
        self.held.describe()

    @on(OptionList.OptionSelected, "#upkeep-list")
    def _selected(self) -> None:
        log_done(self.held)
