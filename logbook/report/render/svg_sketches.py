"""Framings and star tests as inline SVG: to scale, named for those who do not see them."""

import math

from logbook.report.render.document import FramingSketch, StarSketch
from logbook.report.render.pictures import Embedded
from logbook.report.render.svg_element import svg
from logbook.report.render.text import star_words
from logbook.startest.result import Circle

_SHADOW_OF_DISC = 0.36  # how wide the shadow is drawn where its size is not known
_MOST_WIDE, _MOST_HIGH = 340.0, 260.0
_ROUND_IT = 14.0
_BELOW, _BESIDE = 30.0, 54.0  # space for the scale's bar, and for north and east
_LEAST_SHARE = 0.25  # of the drawing that the frame fills, however large the object
_BARS_ARCMIN = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0)


def framing_svg(sketch: FramingSketch, name: str) -> str:
    """The frame with the object's outline in it, to one scale; north up, east left."""
    across, up = _reach_deg(sketch)
    scale = min(_MOST_WIDE / across, _MOST_HIGH / up)
    wide = across * scale + 2 * _ROUND_IT + _BESIDE
    high = up * scale + 2 * _ROUND_IT + _BELOW
    x, y = _ROUND_IT + across * scale / 2.0, _ROUND_IT + up * scale / 2.0
    body = _object(sketch, x, y, scale) + _frame(sketch, x, y, scale)
    body += _compass(wide - 20.0, 46.0) + _bar(high - 12.0, across, scale)
    return svg(name, f"Framing of {sketch.object_name}", sketch.told, wide, high, body)


def _reach_deg(sketch: FramingSketch) -> tuple[float, float]:
    """Width and height of what is drawn: frame and object, of a huge object a part."""
    width, height = sketch.field_deg
    turn = math.radians(sketch.frame_angle_deg)
    across = abs(width * math.cos(turn)) + abs(height * math.sin(turn))
    up = abs(width * math.sin(turn)) + abs(height * math.cos(turn))
    most = max(across, up) / _LEAST_SHARE
    size = min(sketch.major_deg or 0.0, most) * 1.06
    return max(across, size), max(up, size)


def _object(sketch: FramingSketch, x: float, y: float, scale: float) -> str:
    """An ellipse; round where its direction is not known, a cross where its size is not."""
    if not sketch.major_deg:
        return f'<path class="object" d="M{x - 7:.1f} {y:.1f}h14M{x:.1f} {y - 7:.1f}v14"/>'
    long_px = sketch.major_deg * scale / 2.0
    known = sketch.position_angle_deg is not None and sketch.minor_deg is not None
    wide_px = (sketch.minor_deg or 0.0) * scale / 2.0 if known else long_px
    # The angle runs from north (up) through east (left), against the clock that SVG turns by.
    turn = f' transform="rotate({-(sketch.position_angle_deg or 0.0):.1f} {x:.1f} {y:.1f})"'
    return (
        f'<ellipse class="object" cx="{x:.1f}" cy="{y:.1f}" rx="{wide_px:.1f}" '
        f'ry="{long_px:.1f}"{turn if known else ""}/>'
    )


def _frame(sketch: FramingSketch, x: float, y: float, scale: float) -> str:
    """The sensor, with a mark at its upper side."""
    wide, high = (side * scale for side in sketch.field_deg)
    top = y - high / 2.0
    return (
        f'<g transform="rotate({-sketch.frame_angle_deg:.1f} {x:.1f} {y:.1f})">'
        f'<rect class="frame" x="{x - wide / 2:.1f}" y="{top:.1f}" width="{wide:.1f}" '
        f'height="{high:.1f}"/><path class="frame" d="M{x:.1f} {top:.1f}v7"/></g>'
    )


def _compass(x: float, y: float) -> str:
    return (
        f'<path class="axis" d="M{x - 22:.1f} {y:.1f}h22v-22'
        f'M{x - 3:.1f} {y - 17:.1f}l3 -5l3 5M{x - 17:.1f} {y - 3:.1f}l-5 3l5 3"/>'
        f'<text x="{x:.1f}" y="{y - 27:.1f}" text-anchor="middle">N</text>'
        f'<text x="{x - 27:.1f}" y="{y + 4:.1f}" text-anchor="end">E</text>'
    )


def _bar(y: float, across_deg: float, scale: float) -> str:
    """A length to measure by, at most a third of the drawing."""
    fitting = [each for each in _BARS_ARCMIN if each / 60.0 <= across_deg / 3.0]
    length = max(fitting, default=_BARS_ARCMIN[0])
    end = _ROUND_IT + length / 60.0 * scale
    said = f"{length:g}′" if length < 60.0 else f"{length / 60.0:g}°"
    return (
        f'<path class="axis" d="M{_ROUND_IT:.1f} {y - 4:.1f}v8M{_ROUND_IT:.1f} {y:.1f}'
        f'H{end:.1f}M{end:.1f} {y - 4:.1f}v8"/>'
        f'<text x="{end + 7:.1f}" y="{y + 4:.1f}">{said}</text>'
    )


def star_svg(star: StarSketch, name: str) -> str:
    """The disc with its shadow; a shadow off to an unknown side is left out."""
    body = '<circle class="disc" cx="60" cy="60" r="50"/>'
    if star.angle_deg is not None or star.offset_fraction == 0:
        angle = math.radians(star.angle_deg or 0.0)
        x = 60.0 + 50.0 * star.offset_fraction * math.cos(angle)
        y = 60.0 + 50.0 * star.offset_fraction * math.sin(angle)
        body += f'<circle class="shadow" cx="{x:.1f}" cy="{y:.1f}" r="{50 * _SHADOW_OF_DISC:.1f}"/>'
    return svg(name, f"Star test, {star.caption}", star_words(star), 120, 120, body)


def star_picture_svg(star: StarSketch, shown: Embedded, name: str) -> str:
    """The picture with the circles that were measured in it."""
    wide, high = shown.width_px, shown.height_px
    body = f'<image href="{shown.address}" width="{wide}" height="{high}"/>'
    body += _ring(shown.disc, "ring") + _ring(shown.shadow, "ring of-shadow")
    told = f"{star_words(star)}; the picture, its disc ringed and its shadow ringed with dashes"
    return svg(name, f"Star test, {star.caption}", told, wide, high, body)


def _ring(circle: Circle | None, kind: str) -> str:
    """A light line on a dark one, to be seen on any brightness."""
    if circle is None:
        return ""
    # Pixels count from 0 at the middle of the first, SVG from its corner.
    x, y, radius = circle.x_px + 0.5, circle.y_px + 0.5, circle.radius_px
    place = f'cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}"'
    return f'<circle class="under" {place}/><circle class="{kind}" {place}/>'
