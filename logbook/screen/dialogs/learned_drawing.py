"""Readings and what was learned from them, drawn: dots, a line through them, a band."""

from collections.abc import Sequence
from itertools import pairwise

from logbook.screen.widgets.canvas import Canvas

Points = Sequence[tuple[float, float]]
_LABEL = 7


def plot_lines(
    points: Points,
    curves: Sequence[Points],
    columns: int,
    rows: int,
    *,
    foot: tuple[str, str],
    level: float | None = None,
) -> list[str]:
    """Points as small crosses, curves as lines, a dotted level; values at the left, foot below."""
    everything = [*points, *(each for curve in curves for each in curve)]
    if not everything or rows < 3:
        return []
    canvas = Canvas(columns - _LABEL, rows - 1)
    values = [y for _, y in everything] + ([] if level is None else [level])
    low, high = _room(min(values), max(values))
    left, right = _room(min(x for x, _ in everything), max(x for x, _ in everything))

    def place(x: float, y: float) -> tuple[float, float]:
        across = (x - left) / (right - left) * (canvas.width - 1)
        return across, (high - y) / (high - low) * (canvas.height - 1)

    if level is not None:
        canvas.line(*place(left, level), *place(right, level), every=4)
    for curve in curves:
        for one, other in pairwise(curve):
            canvas.line(*place(*one), *place(*other))
    for point in points:
        _cross(canvas, *place(*point))
    marks = {0: f"{high:g}", canvas.rows - 1: f"{low:g}"}
    drawn = [
        f"{marks.get(row, '')[: _LABEL - 1]:>{_LABEL - 1}} {line}".rstrip()
        for row, line in enumerate(canvas.lines())
    ]
    gap = max(1, columns - _LABEL - len(foot[0]) - len(foot[1]))
    return [*drawn, f"{'':{_LABEL}}{foot[0]}{'':{gap}}{foot[1]}"]


def _room(low: float, high: float) -> tuple[float, float]:
    """A range that holds both, never empty, its ends short enough to be read."""
    if high - low < 1e-9:
        return low - 1.0, high + 1.0
    return round(low, 1), round(max(high, low + 0.2), 1)


def _cross(canvas: Canvas, x: float, y: float) -> None:
    canvas.line(x - 1, y, x + 1, y)
    canvas.line(x, y - 1, x, y + 1)
