"""The red night view: whatever a page draws, only red leaves for the terminal.

A theme alone leaks other colours (cursor, scroll bars, links), so the last word is a filter over
every line. Brightness becomes red; text is kept bright enough to read, grounds dark enough.
"""

from functools import lru_cache

from rich.color import Color as RichColor
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter

# Red on black reaches a contrast of 5.25 at most (#ff0000); #af0000 still gives 2.8.
_TEXT_LOW, _TEXT_HIGH = 0xB0, 0xFF
_GROUND_HIGH = 0x48


def _brightness(color: RichColor | None, otherwise: float) -> float:
    if color is None or color.is_default:
        return otherwise
    red, green, blue = color.get_truecolor()
    return (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255


def _red(level: float) -> RichColor:
    return RichColor.from_rgb(round(level), 0, 0)


@lru_cache(4096)
def red_style(style: Style) -> Style:
    """`style` with its colours turned to red; bold, reverse and underline are kept.

    Text that is as bright as its ground or darker (a chosen row) becomes black on red, so that
    it stays readable.
    """
    text = _brightness(style.color, 0.85)
    ground = _brightness(style.bgcolor, 0.0)
    if ground > 0.35 and ground > text:
        colors = Style(color=_red(0), bgcolor=_red(_TEXT_LOW + (_TEXT_HIGH - _TEXT_LOW) * ground))
    else:
        colors = Style(
            color=_red(_TEXT_LOW + (_TEXT_HIGH - _TEXT_LOW) * min(1.0, text * 1.1)),
            bgcolor=_red(_GROUND_HIGH * min(1.0, ground * 2)),
        )
    return style.without_color + colors + Style(dim=False)


class RedFilter(LineFilter):
    """Turns every colour of a line into red."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        return [
            Segment(segment.text, red_style(segment.style or Style.null()), segment.control)
            for segment in segments
        ]
