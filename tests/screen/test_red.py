"""The red night view lets nothing but red out, on every page, sheet and size."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.color import Color, ColorType
from rich.segment import Segment
from rich.style import Style
from textual.color import Color as TextualColor

from logbook.screen.red import RedFilter, red_style

channel = st.integers(0, 255)
colors = st.builds(Color.from_rgb, channel, channel, channel)


def only_red(color: Color | None) -> bool:
    """Whether a colour that reached the terminal is red or black."""
    if color is None or color.type is ColorType.DEFAULT:
        return False
    _, green, blue = color.get_truecolor()
    return green == 0 and blue == 0


def contrast_on_black(color: Color) -> float:
    """Source: W3C WCAG 2.1, relative luminance and contrast ratio; for a colour of red only."""
    red = color.get_truecolor().red / 255
    linear = red / 12.92 if red <= 0.04045 else ((red + 0.055) / 1.055) ** 2.4
    return (0.2126 * linear + 0.05) / 0.05


@given(colors, colors, st.booleans(), st.booleans())
def test_whatever_the_colours_only_red_is_left(
    text: Color, ground: Color, bold: bool, reverse: bool
) -> None:
    style = red_style(Style(color=text, bgcolor=ground, bold=bold, reverse=reverse))
    assert only_red(style.color)
    assert only_red(style.bgcolor)
    assert (style.bold, style.reverse) == (bold, reverse)


@pytest.mark.parametrize("style", [None, Style(), Style(color="default", bgcolor="default")])
def test_a_cell_with_no_colour_of_its_own_gets_red_too(style: Style | None) -> None:
    (segment,) = RedFilter().apply([Segment("x", style)], TextualColor(0, 0, 0))
    assert segment.style is not None
    assert only_red(segment.style.color)
    assert only_red(segment.style.bgcolor)


@given(colors)
def test_text_stays_bright_enough_to_read_on_the_night_ground(text: Color) -> None:
    style = red_style(Style(color=text, bgcolor=Color.from_rgb(18, 18, 18)))
    assert style.color is not None
    assert contrast_on_black(style.color) > 2.8
