"""Plots and sketches as inline SVG. Colours are classes of the page; words are escaped."""

import math
from collections.abc import Callable
from html import escape

from logbook.report.as_text import star_words
from logbook.report.paper import FramingSketch, Plot, StarSketch
from logbook.report.plot_text import nice_range, reach, scale_words
from logbook.text import clean

_WIDTH, _HEIGHT = 640, 200
_LEFT, _RIGHT, _TOP, _BOTTOM = 52, 12, 12, 26
_SHADOW_OF_DISC = 0.36  # how wide the shadow is drawn where its size is not known


def plot_svg(plot: Plot, name: str) -> str:
    """A plot; `name` makes the ids in it its own."""
    points = [point for line in plot.lines for point in line.points]
    if not points:
        return ""
    low_x, high_x = reach(points, plot)
    low, high = nice_range([y for _, y in points], from_zero=plot.bars)

    def across(x: float) -> float:
        return _LEFT + (x - low_x) / (high_x - low_x) * (_WIDTH - _LEFT - _RIGHT)

    def up(y: float) -> float:
        return _TOP + (high - y) / (high - low) * (_HEIGHT - _TOP - _BOTTOM)

    body = _scale(low, high, up) + _ticks(plot, across)
    for place, line in enumerate(plot.lines):
        at = [(across(x), up(y)) for x, y in line.points]
        body += _bars(at, up(max(low, 0.0))) if plot.bars else _drawn(at, line.joined, place)
    title = f"{plot.title} ({plot.unit})" if plot.unit else plot.title
    return _svg(name, title, plot.told, _WIDTH, _HEIGHT, body)


def _scale(low: float, high: float, up: Callable[[float], float]) -> str:
    lines = ""
    for value in (low, (low + high) / 2.0, high):
        y = up(value)
        lines += (
            f'<line class="grid" x1="{_LEFT}" x2="{_WIDTH - _RIGHT}" y1="{y:.1f}" y2="{y:.1f}"/>'
        )
        lines += (
            f'<text class="tick" x="{_LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">'
            f"{scale_words(value)}</text>"
        )
    return lines


def _ticks(plot: Plot, across: Callable[[float], float]) -> str:
    words, free_from = "", 0.0
    for x, said in plot.ticks:
        shown = clean(said, longest=20)
        half = 3.6 * len(shown)
        at = min(max(across(x), _LEFT + half), _WIDTH - _RIGHT - half)
        if at - half < free_from:
            continue
        words += (
            f'<text class="tick" x="{at:.1f}" y="{_HEIGHT - 8}" text-anchor="middle">'
            f"{escape(shown)}</text>"
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
        f'<circle class="dot s{place % 2}" cx="{x:.1f}" cy="{y:.1f}" r="2.2"/>' for x, y in at
    )


def framing_svg(sketch: FramingSketch, name: str) -> str:
    """The field as a rectangle with the object's ellipse in it, to one scale."""
    width, height = sketch.field_deg
    major = sketch.major_deg or 0.0
    minor = sketch.minor_deg or major
    reach = max(width, major), max(height, minor)
    scale = min(320.0 / reach[0], 220.0 / reach[1])
    wide, high = reach[0] * scale + 20.0, reach[1] * scale + 20.0
    x, y = wide / 2.0, high / 2.0
    body = (
        f'<rect class="frame" x="{x - width * scale / 2:.1f}" y="{y - height * scale / 2:.1f}" '
        f'width="{width * scale:.1f}" height="{height * scale:.1f}"/>'
    )
    if major:
        body += (
            f'<ellipse class="object" cx="{x:.1f}" cy="{y:.1f}" rx="{major * scale / 2:.1f}" '
            f'ry="{minor * scale / 2:.1f}"/>'
        )
    return _svg(name, f"Framing of {sketch.object_name}", sketch.told, wide, high, body)


def star_svg(star: StarSketch, name: str) -> str:
    """The disc with its shadow; a shadow off to an unknown side is left out."""
    body = '<circle class="disc" cx="60" cy="60" r="50"/>'
    if star.angle_deg is not None or star.offset_fraction == 0:
        angle = math.radians(star.angle_deg or 0.0)
        x = 60.0 + 50.0 * star.offset_fraction * math.cos(angle)
        y = 60.0 + 50.0 * star.offset_fraction * math.sin(angle)
        body += f'<circle class="shadow" cx="{x:.1f}" cy="{y:.1f}" r="{50 * _SHADOW_OF_DISC:.1f}"/>'
    return _svg(name, f"Star test, {star.caption}", star_words(star), 120, 120, body)


def _svg(name: str, title: str, told: str, width: float, height: float, body: str) -> str:
    return (
        f'<svg role="img" aria-labelledby="{name}-title {name}-told" '
        f'viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" height="{height:.0f}">'
        f'<title id="{name}-title">{escape(clean(title))}</title>'
        f'<desc id="{name}-told">{escape(clean(told))}</desc>{body}</svg>'
    )
