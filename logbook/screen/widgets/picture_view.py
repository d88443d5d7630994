"""A picture in half blocks: two square points in every cell, in greys, or in reds at night."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.filter import LineFilter
from textual.strip import Strip
from textual.widget import Widget

from logbook.screen.widgets.red import RedFilter

_STEPS = 32  # levels that can be distinguished; few styles keep a redraw quick


@dataclass(frozen=True, slots=True)
class Shown:
    """A small picture: `grey` holds columns x rows levels 0..255, row by row from the top.

    rings -- circles drawn over it: (x, y, radius) in its points; the first is the disc.
    """

    columns: int
    rows: int
    grey: bytes
    rings: tuple[tuple[float, float, float], ...] = ()

    def levels(self) -> list[list[int]]:
        """The picture with its rings, as rows of levels."""
        rows = [
            list(self.grey[row * self.columns : (row + 1) * self.columns])
            for row in range(self.rows)
        ]
        for x, y, radius in self.rings:
            _ring(rows, x, y, radius)
        return rows


def _ring(rows: list[list[int]], x: float, y: float, radius: float) -> None:
    """A dotted circle with a cross at its centre, bright on dark and dark on bright."""
    steps = max(12, round(math.pi * radius))
    points = [
        (
            x + radius * math.cos(2 * math.pi * step / steps),
            y + radius * math.sin(2 * math.pi * step / steps),
        )
        for step in range(steps)
    ]
    cross = [(x, y), (x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)]
    for across, down in {(round(a), round(b)) for a, b in points + cross}:
        if 0 <= down < len(rows) and 0 <= across < len(rows[0]):
            rows[down][across] = 255 if rows[down][across] < 128 else 0


class PictureView(Widget):
    """Draws a `Shown`. In the red view it draws in reds itself, so that no level is lost."""

    def __init__(self, *, id: str) -> None:  # noqa: A002
        super().__init__(id=id)
        self._levels: list[list[int]] = []

    def show(self, shown: Shown | None) -> None:
        """Draw another picture, or none."""
        self._levels = shown.levels() if shown is not None else []
        self.refresh()

    def get_line_filters(self) -> Sequence[LineFilter]:
        return () if self._red() else super().get_line_filters()

    def _red(self) -> RedFilter | None:
        """The filter that would be over this widget, were it not left out."""
        filters = super().get_line_filters()
        return next((each for each in filters if isinstance(each, RedFilter)), None)

    def render_line(self, y: int) -> Strip:
        width = self.size.width
        upper = self._row(2 * y)
        lower = self._row(2 * y + 1)
        columns = min(width, max(len(upper), len(lower)))
        red = self._red()
        segments = [
            Segment("▀", _style(_at(upper, place), _at(lower, place), red))
            for place in range(columns)
        ]
        segments.append(Segment(" " * (width - columns), _style(0, 0, red)))
        return Strip(segments, width)

    def _row(self, place: int) -> list[int]:
        return self._levels[place] if place < len(self._levels) else []


def _at(row: list[int], place: int) -> int:
    return row[place] if place < len(row) else 0


def _style(upper: int, lower: int, red: RedFilter | None) -> Style:
    return Style(color=_color(upper, red), bgcolor=_color(lower, red))


def _color(level: int, red: RedFilter | None) -> Color:
    step = level * _STEPS // 256
    tone = step * 255 // (_STEPS - 1)
    return red.tone(tone) if red else Color.from_rgb(tone, tone, tone)
