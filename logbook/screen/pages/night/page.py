"""Night: the timeline of the night in progress, what runs now, fast entry."""

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import OptionList, Static

from logbook.screen.pages.night.frames import FrameLine
from logbook.screen.pages.night.keys import NIGHT_KEYS
from logbook.screen.pages.night.list import NightList
from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.page_keys import bindings_of

REDRAWN_EVERY_S = 5.0


class NightPage(Page):
    """What runs now, then the timeline with the newest entry in view."""

    TITLE = "Night"
    KEYS = NIGHT_KEYS
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(KEYS)
    DEFAULT_CSS = """
    NightPage #night-now { height: auto; max-height: 4; text-style: bold; }
    NightPage #night-next { height: auto; max-height: 2; }
    NightPage #night-reminders { height: auto; max-height: 3; }
    NightPage #night-list { height: 1fr; border: none; padding: 0; background: $background; }
    NightPage #night-list:focus { border: none; }
    NightPage #night-sums { height: 1; color: $text-muted; }
    """

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.held: NightList = NightList(self)

    def compose(self) -> ComposeResult:
        yield Static(id="night-now", markup=False)
        yield Static(id="night-next", markup=False)
        yield FrameLine(self.desk, id="night-frames")
        yield Static(id="night-reminders", markup=False)
        yield OptionList(id="night-list", markup=False)
        yield Static(id="night-sums", markup=False)

    def on_mount(self) -> None:
        self.set_interval(REDRAWN_EVERY_S, self.held.redraw_now)

    def take_focus(self) -> None:
        """Here one types at once."""
        self.held.bar.take_keys()

    def leave_line(self) -> None:
        self.held.options.focus()

    def redraw(self) -> None:
        self.held.redraw()

    def redraw_sky(self) -> None:
        self.held.redraw_now()

    def on_resize(self) -> None:
        """A wide screen has room for more in each line."""
        self.redraw()

    def question_before(self, key: str) -> str:
        """Nothing is logged outside a night."""
        return super().question_before(key) if self.desk.view.night is not None else ""
