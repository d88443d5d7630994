"""Plots as inline SVG. Colours are classes of the page; words are escaped."""

from collections.abc import Callable
from html import escape

from logbook.report.render.document import Plot
from logbook.report.render.plot_scale import marks_words, reach, scale
from logbook.report.render.svg_element import svg
from logbook.text import clean

_WIDTH, _HEIGHT = 640, 200
_LEFT, _RIGHT, _TOP, _BOTTOM = 56, 12, 12, 26
_LETTER = 3.6  # half the usual width of a letter of the scale


def plot_svg(plot: Plot, name: str) -> str:
    """A plot; `name` makes the ids in it its own."""
    points = [point for line in plot.lines for point in line.points]
    if not points:
        return ""
    low_x, high_x = reach(points, plot)
    marks, decimals = scale([y for _, y in points], from_zero=plot.bars)
    low, high = marks[0], marks[-1]

    def across(x: float) -> float:
        return _LEFT + (x - low_x) / (high_x - low_x) * (_WIDTH - _LEFT - _RIGHT)

    def up(y: float) -> float:
        return _TOP + (high - y) / (high - low) * (_HEIGHT - _TOP - _BOTTOM)

    body = _scale(marks, decimals, up) + _ticks(plot, across)
    for place, line in enumerate(plot.lines):
        at = [(across(x), up(y)) for x, y in line.points]
        body += _bars(at, up(max(low, 0.0))) if plot.bars else _drawn(at, line.joined, place)
    title = f"{plot.title} ({plot.unit})" if plot.unit else plot.title
    return svg(name, title, plot.told, _WIDTH, _HEIGHT, body)


def _scale(marks: list[float], decimals: int, up: Callable[[float], float]) -> str:
    lines = ""
    for value, said in zip(marks, marks_words(marks, decimals), strict=True):
        y = up(value)
        lines += (
            f'<line class="grid" x1="{_LEFT}" x2="{_WIDTH - _RIGHT}" y1="{y:.1f}" y2="{y:.1f}"/>'
        )
        lines += f'<text x="{_LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{said}</text>'
    return lines


def _ticks(plot: Plot, across: Callable[[float], float]) -> str:
    """Words under the axis, each with its mark; one that would touch the one before is left out."""
    words, free_from, floor = "", 0.0, _HEIGHT - _BOTTOM
    for x, said in plot.ticks:
        shown, place = clean(said, longest=20), across(x)
        half = _LETTER * len(shown)
        at = min(max(place, _LEFT + half), _WIDTH - _RIGHT - half)
        if at - half < free_from:
            continue
        words += (
            f'<line class="grid" x1="{place:.1f}" x2="{place:.1f}" y1="{floor}" y2="{floor + 4}"/>'
            f'<text x="{at:.1f}" y="{_HEIGHT - 7}" text-anchor="middle">{escape(shown)}</text>'
        )
        free_from = at + half + 6.0
    return words


def _bars(at: list[tuple[float, float]], floor: float) -> str:
    wide = max(1.0, min(24.0, (_WIDTH - _LEFT - _RIGHT) / max(len(at), 1) * 0.7))
    return "".join(
        f'<rect class="bar" x="{x - wide / 2:.1f}" y="{min(y, floor):.1f}" width="{wide:.1f}" '
        f'height="{abs(floor - y):.1f}"/>'
        for x, y in at
    )


def _drawn(at: list[tuple[float, float]], joined: bool, place: int) -> str:
    if joined and len(at) > 1:
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in at)
        return f'<polyline class="series s{place % 2}" points="{points}"/>'
    return "".join(
        f'<circle class="dot s{place % 2}" cx="{x:.1f}" cy="{y:.1f}" r="2.6"/>' for x, y in at
    )
