"""The defocused star as seen: a bright disc, the shadow in it, the screws round it."""

import math
from collections.abc import Sequence

from logbook.screen.canvas import Canvas
from logbook.store.records import Screw, StarLook

_SHADOW_OF_DISC = 0.36  # how wide the shadow is drawn where its size is not known
_SCREW_AT = 1.28  # of the disc's radius


def disc_lines(
    look: StarLook | None,
    screws: Sequence[Screw],
    columns: int,
    rows: int,
    chosen: str | None = None,
) -> list[str]:
    """The drawing. Screws stand at their clock positions, 12 at the top; the chosen one in [ ].

    A look by eye gives its direction as the clock shows it: 0° at 3 o'clock, clockwise. A shadow
    off the centre whose direction is not known is not drawn.
    """
    canvas = Canvas(columns, rows)
    x, y = canvas.width / 2, canvas.height / 2
    radius = min(canvas.width, canvas.height) / 2 / (_SCREW_AT + 0.22)
    canvas.ellipse(x, y, radius, radius)
    if look is not None and (look.position_angle_deg is not None or not look.offset_fraction):
        angle = math.radians(look.position_angle_deg or 0.0)
        shift = look.offset_fraction * radius
        canvas.disc(
            x + shift * math.cos(angle), y + shift * math.sin(angle), _SHADOW_OF_DISC * radius
        )
    for screw in screws:
        _screw(canvas, screw, x, y, radius, marked=screw.name == chosen)
    return canvas.lines()


def _screw(
    canvas: Canvas, screw: Screw, x: float, y: float, radius: float, *, marked: bool
) -> None:
    turn = math.radians(screw.clock_hour * 30.0)
    at_x = x + _SCREW_AT * radius * math.sin(turn)
    at_y = y - _SCREW_AT * radius * math.cos(turn)
    shown = f"[{screw.name}]" if marked else screw.name
    column = round(at_x / 2 - len(shown) / 2)
    canvas.word(max(0, min(canvas.columns - len(shown), column)), int(at_y // 4), shown)
