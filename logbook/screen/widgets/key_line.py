"""The bottom line: the keys, with the page in view marked. Fits 80 columns."""

from rich.text import Text
from textual.widgets import Static

from logbook.screen.widgets.keys import KEYS

_ALL = 85  # columns that every key takes


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
        self.update(key_words(page, self.app.size.width))


def key_words(page: str, columns: int) -> Text:
    """`F1 Help F2 Choose ...`; where they do not fit, shorter and without some that F1 names."""
    narrow, left_out = columns < 80, _left_out(page, columns)
    line = Text()
    for key in KEYS:
        if not key.in_footer or key.id in left_out:
            continue
        line.append(key.shown if not narrow else key.shown.removeprefix("F"), style="bold")
        line.append(" ")
        line.append(key.label, style="reverse bold" if key.id == page else "")
        line.append(" ")
    return line


def _left_out(page: str, columns: int) -> tuple[str, ...]:
    """The form first; on a narrow screen Upkeep too, or others while it is in view."""
    if columns >= _ALL:
        return ()
    if columns >= 80:
        return ("form",)
    return ("form", "red", "undo") if page == "upkeep" else ("form", "upkeep")
