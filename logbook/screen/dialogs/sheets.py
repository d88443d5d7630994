"""A sheet of text over the page, that scrolls and closes."""

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Static

from logbook.screen.widgets.modal import Modal


class Sheet(Modal[None]):
    """Lines to read. Escape, F1 or Enter closes."""

    DEFAULT_CSS = """
    Sheet .sheet { width: 100%; max-width: 100; height: 100%; }
    Sheet VerticalScroll { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f1,enter,q", "close", "Close", tooltip="Back to the page"),
    ]

    def __init__(self, title: str, lines: Sequence[Text]) -> None:
        super().__init__()
        self._heading = title
        self._lines = lines

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            with VerticalScroll():
                yield Static(Text("\n").join(self._lines), markup=False)
            yield Static(Text("↑ ↓ scroll   Escape closes", style="italic"), markup=False)

    def on_mount(self) -> None:
        self.query_one(VerticalScroll).focus()

    def action_close(self) -> None:
        self.dismiss(None)
