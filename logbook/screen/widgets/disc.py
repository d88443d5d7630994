"""The defocused star as seen: a bright disc, the shadow in it, the screws round it."""

import math
from collections.abc import Sequence

from logbook.records.entries import Screw, StarLook
from logbook.screen.widgets.canvas import Canvas
from logbook.startest.screws.advice import ScrewResponse

_SHADOW_OF_DISC = 0.36  # how wide the shadow is drawn where its size is not known
_SCREW_AT = 1.28  # of the disc's radius
_ARROW = (0.55, 1.05)  # where an arrow begins and ends, in disc radii
_BARB_DEG = 150.0


def disc_lines(
    look: StarLook | None,
    screws: Sequence[Screw],
    columns: int,
    rows: int,
    chosen: str | None = None,
    pulls: Sequence[ScrewResponse] = (),
) -> list[str]:
    """The drawing, with the chosen screw in [ ].

    Where it is learned which way tightening a screw pulls the shadow in the picture, an arrow
    points there and the screw's name stands at its tip; else screws stand at their clock
    positions, 12 at the top. A look gives its direction as 0° at 3 o'clock, clockwise. A shadow
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
            x + shift * math.cos(angle), y + shift * math.sin(angle), _shadow_of(look) * radius
        )
    known = {each.screw: each.angle_deg for each in pulls if each.known}
    for screw in screws:
        angle_deg = known.get(screw.name)
        if angle_deg is not None:
            _arrow(canvas, angle_deg, x, y, radius)
        elif known:
            continue  # its clock position would stand between arrows of another frame
        at_deg = screw.clock_hour * 30.0 - 90.0 if angle_deg is None else angle_deg
        _name(canvas, screw.name, at_deg, x, y, radius, marked=screw.name == chosen)
    return canvas.lines()


def _shadow_of(look: StarLook) -> float:
    """How wide the shadow is, as seen if it was measured."""
    detail, disc_px = look.detail, look.disc_radius_px
    if detail is None or detail.shadow_radius_px is None or not disc_px:
        return _SHADOW_OF_DISC
    return min(0.8, detail.shadow_radius_px / disc_px)


def _arrow(canvas: Canvas, angle_deg: float, x: float, y: float, radius: float) -> None:
    """An arrow outward across the disc's edge."""
    angle = math.radians(angle_deg)
    start, end = (
        (x + at * radius * math.cos(angle), y + at * radius * math.sin(angle)) for at in _ARROW
    )
    canvas.line(*start, *end)
    for side in (-_BARB_DEG, _BARB_DEG):
        barb = math.radians(angle_deg + side)
        canvas.line(
            *end, end[0] + 0.2 * radius * math.cos(barb), end[1] + 0.2 * radius * math.sin(barb)
        )


def _name(
    canvas: Canvas, name: str, at_deg: float, x: float, y: float, radius: float, *, marked: bool
) -> None:
    angle = math.radians(at_deg)
    at_x = x + _SCREW_AT * radius * math.cos(angle)
    at_y = y + _SCREW_AT * radius * math.sin(angle)
    shown = f"[{name}]" if marked else name
    column = round(at_x / 2 - len(shown) / 2)
    row = max(0, min(canvas.rows - 1, int(at_y // 4)))
    canvas.word(max(0, min(canvas.columns - len(shown), column)), row, shown)
