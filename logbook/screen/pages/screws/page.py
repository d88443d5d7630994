"""Screws: the disc and shadow as last seen, the next turn advised, and every turn recorded."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import OptionList, Static

from logbook.screen.pages.screws.advising import AdviceReady
from logbook.screen.pages.screws.keys import SCREWS_KEYS, clear_for_letters
from logbook.screen.pages.screws.shown import draw, draw_large
from logbook.screen.pages.screws.state import Screws
from logbook.screen.pages.screws.words import CARE_WORDS
from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.page_keys import bindings_of
from logbook.screen.widgets.picture_view import PictureView


class ScrewsPage(Page):
    """Enter asks about the turn in hand; an advice puts its turn in hand, arrows change it."""

    TITLE = "Screws"
    can_focus = True
    KEYS = SCREWS_KEYS
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(KEYS)
    DEFAULT_CSS = """
    ScrewsPage #screws-next { height: auto; text-style: bold; }
    ScrewsPage #screws-body { height: 1fr; }
    ScrewsPage #screws-disc { width: 26; height: auto; }
    ScrewsPage #screws-right { width: 1fr; }
    ScrewsPage #screws-sums { height: auto; }
    ScrewsPage #screws-turns { height: 1fr; border: none; padding: 0; background: $background; }
    ScrewsPage #screws-live { height: 16; width: 56; }
    ScrewsPage #screws-why { height: auto; }
    ScrewsPage #screws-care { height: auto; color: $text-muted; }
    ScrewsPage #screws-dark { height: 1fr; display: none; }
    ScrewsPage.-dark #screws-dark { display: block; }
    ScrewsPage.-dark #screws-next { display: none; }
    ScrewsPage.-dark #screws-body { display: none; }
    ScrewsPage.-dark #screws-why { display: none; }
    ScrewsPage.-dark #screws-care { display: none; }
    """

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.held: Screws = Screws(self)

    def compose(self) -> ComposeResult:
        yield Static(id="screws-dark", markup=False)
        yield Static(id="screws-next", markup=False)
        with Horizontal(id="screws-body"):
            yield Static(id="screws-disc", markup=False)
            with Vertical(id="screws-right"):
                yield Static(id="screws-sums", markup=False)
                turns = OptionList(id="screws-turns", markup=False)
                turns.can_focus = False
                yield turns
                yield PictureView(id="screws-live")
        yield Static(id="screws-why", markup=False)
        yield Static(Text(CARE_WORDS), id="screws-care", markup=False)

    def redraw(self) -> None:
        self.held.follow_book()
        draw(self.held)

    def redraw_question(self) -> None:
        draw_large(self.held)

    def on_resize(self) -> None:
        """A wide screen has room for more in each line."""
        self.redraw()

    def on_show(self) -> None:
        clear_for_letters(self.held)

    def on_hide(self) -> None:
        clear_for_letters(self.held, in_view=False)

    @on(AdviceReady)
    def _advice_ready(self, event: AdviceReady) -> None:
        self.held.take_advice(event)

    def takes(self, key: str) -> bool:
        """1 and 2 are answers only while something is asked."""
        return super().takes(key) and not (key in ("1", "2") and self.held.advice.doubt is None)
