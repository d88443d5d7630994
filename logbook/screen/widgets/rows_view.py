"""Many lines that scroll, of which only those in view are drawn."""

from collections.abc import Sequence

from rich.text import Text
from textual.geometry import Size
from textual.scroll_view import ScrollView
from textual.strip import Strip


class RowsView(ScrollView, can_focus=True):
    """Lines, one row each; what is longer than the view is wide is cut.

    Subclasses may make their rows when they are asked for: `row_count` and `row`.
    """

    DEFAULT_CSS = "RowsView { overflow-x: hidden; }"

    def __init__(self, *, id: str) -> None:  # noqa: A002 (Textual's own name for it)
        super().__init__(id=id)
        self._lines: Sequence[Text] = ()
        self._goal: tuple[int, bool] | None = None
        self._put_at = 0

    def show(self, lines: Sequence[Text]) -> None:
        """Show these lines from now on, scrolled as before."""
        self._lines = lines
        self.count_anew()

    def bring(self, row: int, *, to_middle: bool = False) -> None:
        """Scroll a row to the top or the middle, and keep it there until the user scrolls.

        The view may still be given another height by what appears beside it.
        """
        self._goal, self._put_at = (row, to_middle), round(self.scroll_offset.y)
        self._bring_again()

    def _bring_again(self) -> None:
        if self._goal is None or round(self.scroll_offset.y) != self._put_at:
            self._goal = None
            return
        row, to_middle = self._goal
        top = max(0, row - self.size.height // 2) if to_middle else row
        self.scroll_to(y=top, animate=False, force=True)
        self._put_at = round(self.scroll_offset.y)

    @property
    def row_count(self) -> int:
        return len(self._lines)

    def row(self, place: int) -> Text:
        """The line at a place, 0 for the first."""
        return self._lines[place]

    def count_anew(self) -> None:
        """To be called when rows came, went or changed."""
        self.virtual_size = Size(self.scrollable_content_region.width, self.row_count)
        self.refresh()

    def on_resize(self) -> None:
        self.count_anew()
        self._bring_again()

    def render_line(self, y: int) -> Strip:
        place, width = round(self.scroll_offset.y) + y, self.size.width
        style = self.rich_style
        if not 0 <= place < self.row_count:
            return Strip.blank(width, style)
        line = self.row(place).copy()
        line.truncate(width, overflow="ellipsis")
        segments = line.render(self.app.console)
        return Strip(segments).apply_style(style).adjust_cell_length(width, style)
