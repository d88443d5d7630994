"""What every page of the screen has in common."""

from typing import ClassVar

from textual.containers import Vertical

from logbook.screen.desk import Desk
from logbook.screen.failures import TellsFailures


class Page(TellsFailures, Vertical):
    """A page. It draws what the desk holds and asks the app to act; it keeps nothing itself."""

    TITLE: ClassVar[str] = ""
    # (key as shown, what it does), for the help page; only keys that work on this page alone
    OWN_KEYS: ClassVar[tuple[tuple[str, str], ...]] = ()

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002 (Textual's own name for it)
        super().__init__(id=id)
        self.desk = desk

    def redraw(self) -> None:
        """Draw anew from the desk: called when the page is turned to and when the book changed."""

    def redraw_sky(self) -> None:
        """Draw what depends on the sky: called when it was worked out anew."""

    def take_focus(self) -> None:
        """Put the cursor where this page starts."""
        self.focus()

    def leave_line(self) -> None:
        """Put the cursor on the page itself: the owner left the entry line."""
        self.take_focus()
