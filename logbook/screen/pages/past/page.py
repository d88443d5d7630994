"""Past: the nights that were, and the way to every page that looks back."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from logbook.screen.pages.past.keys import KEY_WORDS, PAST_KEYS, read_night
from logbook.screen.pages.past.list import NightsList
from logbook.screen.pages.past.nights import Nights
from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.page_keys import bindings_of


class PastPage(Page):
    """All nights of the book, newest first, and keys for whatever looks back over them."""

    TITLE = "Past"
    KEYS = PAST_KEYS
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(KEYS)
    DEFAULT_CSS = """
    PastPage #past-head { height: 1; text-style: bold; }
    PastPage #past-list { height: 1fr; background: $background; }
    PastPage #past-keys { height: auto; text-style: italic; }
    """

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.held: Nights = Nights(self)

    def compose(self) -> ComposeResult:
        yield Static(id="past-head", markup=False)
        yield NightsList(id="past-list")
        yield Static(Text(KEY_WORDS), id="past-keys", markup=False)

    def take_focus(self) -> None:
        self.held.rows.focus()

    def redraw(self) -> None:
        self.held.redraw()

    @on(NightsList.Moved)
    def _moved(self) -> None:
        self.held.say_head()

    @on(NightsList.Unread)
    def _unread(self, event: NightsList.Unread) -> None:
        self.held.sum_up(event.night_ids)

    @on(NightsList.Taken)
    def _taken(self) -> None:
        read_night(self.held)
