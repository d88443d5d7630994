"""The bottom line: the keys, with the page in view marked. Fits 80 columns."""

from rich.text import Text
from textual.widgets import Static

from logbook.screen.keys import KEYS


class KeyLine(Static):
    """Keys and their words; the page in view is in reverse."""

    def __init__(self) -> None:
        super().__init__(id="keys", markup=False)
        self.page = "choose"

    def on_mount(self) -> None:
        self.mark(self.page)

    def on_resize(self) -> None:
        self.mark(self.page)

    def mark(self, page: str) -> None:
        """Show which page is in view."""
        self.page = page
        self.update(key_words(page, narrow=self.app.size.width < 80))


def key_words(page: str, *, narrow: bool) -> Text:
    """`F1 Help F2 Choose ...`; on a narrow screen shorter, and without the form."""
    line = Text()
    for key in KEYS:
        if not key.in_footer or (narrow and key.id == "form"):
            continue
        line.append(key.shown if not narrow else key.shown.removeprefix("F"), style="bold")
        line.append(" ")
        line.append(key.label, style="reverse bold" if key.id == page else "")
        line.append(" ")
    return line
