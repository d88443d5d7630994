"""The red night view: whatever a page draws, only red leaves for the terminal.

A theme alone leaks other colours (cursor, scroll bars, links), so the last word is a filter over
every line. Brightness becomes red; text is bright enough to read, grounds dark enough.

Not every red arrives as red. A terminal multiplexer over 256 colours sends the nearest of its cube
and its greys, and for dark reds that is a grey: so no level between black and `SAFE_FROM` leaves. A
terminal of 16 colours has one plain red; its bold red is pink on a console, and underline, italic
and dim are shown there by colours of their own (Linux console_codes(4)): so plain red alone.
"""

from functools import lru_cache

from rich.color import Color as RichColor
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter

SAFE_FROM = 0x35  # nearer to the cube's darkest red (5f) than to any grey
SAFE_BLACK = 0x0B  # up to here nearer to black than to any grey
# Red on black reaches a contrast of 5.25 at most (#ff0000); #af0000 still gives 2.8.
_TEXT_LOW, _TEXT_HIGH = 0xB0, 0xFF
_RAISED, _CHOSEN = 0x38, 0x5F  # grounds: what is raised from the page, and the row that is chosen
_RAISED_FROM, _CHOSEN_FROM = 0.16, 0.35  # brightness of the ground by day
_PLAIN_RED, _PLAIN_BLACK = RichColor.parse("red"), RichColor.parse("black")
_PLAIN = Style(bold=False, dim=False, italic=False, underline=False, underline2=False, blink=False)


def _brightness(color: RichColor | None, otherwise: float) -> float:
    if color is None or color.is_default:
        return otherwise
    red, green, blue = color.get_truecolor()
    return (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255


def red_of(level: float) -> RichColor:
    """Red of about `level` (0 to 255), or black: the nearest that arrives as it was sent."""
    if SAFE_BLACK < level < SAFE_FROM:
        level = 0 if level < (SAFE_BLACK + SAFE_FROM) / 2 else SAFE_FROM
    return RichColor.from_rgb(round(level), 0, 0)


@lru_cache(4096)
def red_style(style: Style) -> Style:
    """`style` with its colours turned to red; bold, reverse and underline stay.

    Text that is as bright as its ground or darker (a chosen row) becomes black on red, so that
    it stays readable.
    """
    text = _brightness(style.color, 0.85)
    ground = _brightness(style.bgcolor, 0.0)
    if ground > _CHOSEN_FROM and ground > text:
        bright = _TEXT_LOW + (_TEXT_HIGH - _TEXT_LOW) * ground
        colors = Style(color=red_of(0), bgcolor=red_of(bright))
    else:
        bright = _TEXT_LOW + (_TEXT_HIGH - _TEXT_LOW) * min(1.0, text * 1.1)
        colors = Style(color=red_of(bright), bgcolor=red_of(_ground(ground)))
    return style.without_color + colors + Style(dim=False)


def _ground(brightness: float) -> int:
    if brightness < _RAISED_FROM:
        return 0
    return _RAISED if brightness < _CHOSEN_FROM else _CHOSEN


@lru_cache(4096)
def plain_red_style(style: Style) -> Style:
    """`style` in the one red of 16 colours: what is raised or chosen becomes black on red."""
    if _brightness(style.bgcolor, 0.0) < _RAISED_FROM:
        colors = Style(color=_PLAIN_RED, bgcolor=_PLAIN_BLACK)
    else:
        colors = Style(color=_PLAIN_BLACK, bgcolor=_PLAIN_RED)
    return style.without_color + colors + _PLAIN


class RedFilter(LineFilter):
    """Turns every colour of a line into red.

    plain -- the terminal has 16 colours, of which one is a red.
    """

    def __init__(self, enabled: bool = True, *, plain: bool = False) -> None:
        super().__init__(enabled)
        self._style = plain_red_style if plain else red_style
        self._plain = plain

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        return [
            Segment(segment.text, self._style(segment.style or Style.null()), segment.control)
            for segment in segments
        ]

    def tone(self, grey: int) -> RichColor:
        """The red of a picture's grey (0 to 255): brighter for brighter, black for black."""
        if self._plain:
            return _PLAIN_BLACK if grey < 128 else _PLAIN_RED
        return red_of(SAFE_FROM + grey * (255 - SAFE_FROM) // 255 if grey else 0)
