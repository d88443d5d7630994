"""The frame drawn to scale from braille dots, as the train shows it."""

import math
import string
from dataclasses import dataclass
from typing import TYPE_CHECKING

from logbook.screen.widgets.canvas import Canvas

if TYPE_CHECKING:
    from logbook.sky.framing.field_contents import FrameView, Placed
    from logbook.sky.framing.mosaic import Mosaic

_SIGNS = string.ascii_lowercase
_AIR = 0.9  # of the drawing that is used; the rest is for N and E
_BEYOND = 1.7  # how much of the sky around the frame is drawn at most, in frames
_SMALL_DOTS = 3.0  # what is smaller is a sign only


@dataclass(frozen=True, slots=True)
class Drawing:
    """How many cells there are to draw in."""

    columns: int
    rows: int


def draw_frame(
    view: "FrameView", mosaic: "Mosaic | None", drawing: Drawing
) -> tuple[list[str], dict[str, str]]:
    """The drawing, a string a row, and the sign of every other object by its id."""
    canvas = Canvas(drawing.columns, drawing.rows)
    sketch = _Sketch(canvas, view, _scale(view, mosaic, canvas))
    sketch.rectangle(0.0, 0.0)
    if mosaic is not None:
        sketch.panels(mosaic)
    sketch.thing(view.object)
    signs = {each.id: sign for each, sign in zip(view.others, _SIGNS, strict=False)}
    for each in view.others:
        sketch.other(each, signs.get(each.id))
    sketch.direction("N", view.north_deg)
    sketch.direction("E", view.east_deg)
    return canvas.lines(), signs


def _scale(view: "FrameView", mosaic: "Mosaic | None", canvas: Canvas) -> float:
    """Dots a degree, so that the frame, the object and the mosaic have room."""
    across, up = view.width_deg, view.height_deg
    major = view.object.major_deg or 0.0
    x, y = _from_middle(view, view.object)
    across = max(across, min(_BEYOND * across, 2.0 * abs(x) + major))
    up = max(up, min(_BEYOND * up, 2.0 * abs(y) + major))
    for panel in mosaic.panels if mosaic else ():
        across = max(across, 2.0 * (abs(panel.x_deg) + abs(x)) + view.width_deg)
        up = max(up, 2.0 * (abs(panel.y_deg) + abs(y)) + view.height_deg)
    return _AIR * min(canvas.width / across, canvas.height / up)


def _from_middle(view: "FrameView", placed: "Placed") -> tuple[float, float]:
    """Degrees to the right and up from the frame's middle."""
    return (placed.x - 0.5) * view.width_deg, (placed.y - 0.5) * view.height_deg


class _Sketch:
    """Draws in degrees from the frame's middle, right and up."""

    def __init__(self, canvas: Canvas, view: "FrameView", dots_per_deg: float) -> None:
        self._canvas = canvas
        self._view = view
        self._scale = dots_per_deg

    def _dots(self, x_deg: float, y_deg: float) -> tuple[float, float]:
        canvas = self._canvas
        return canvas.width / 2 + x_deg * self._scale, canvas.height / 2 - y_deg * self._scale

    def rectangle(self, x_deg: float, y_deg: float, *, every: int = 1) -> None:
        """A frame with its middle there."""
        wide, high = self._view.width_deg / 2, self._view.height_deg / 2
        left, top = self._dots(x_deg - wide, y_deg + high)
        right, bottom = self._dots(x_deg + wide, y_deg - high)
        for start, end in (
            ((left, top), (right, top)),
            ((left, bottom), (right, bottom)),
            ((left, top), (left, bottom)),
            ((right, top), (right, bottom)),
        ):
            self._canvas.line(*start, *end, every=every)

    def panels(self, mosaic: "Mosaic") -> None:
        """The frames of a mosaic, dotted, each with its number."""
        x, y = _from_middle(self._view, self._view.object)
        mirror = -1.0 if self._view.mirrored else 1.0
        for panel in mosaic.panels:
            middle = (x + mirror * panel.x_deg, y + panel.y_deg)
            self.rectangle(*middle, every=3)
            self._word(*middle, str(panel.number))

    def thing(self, placed: "Placed") -> None:
        """The object: its ellipse, a circle where its angle is unknown, else a cross."""
        x, y = _from_middle(self._view, placed)
        if placed.major_deg is None:
            across, down = self._dots(x, y)
            self._canvas.line(across - 3, down, across + 3, down)
            self._canvas.line(across, down - 3, across, down + 3)
        else:
            self._ellipse(placed, placed.major_deg)

    def other(self, placed: "Placed", sign: str | None) -> None:
        """Something else: its ellipse if it can be seen as one, and its sign or a dot."""
        if placed.major_deg is not None and placed.major_deg * self._scale >= _SMALL_DOTS:
            self._ellipse(placed, placed.major_deg)
        x, y = _from_middle(self._view, placed)
        if sign is None:
            self._canvas.dot(*self._dots(x, y))
        else:
            self._word(x, y, sign)

    def _ellipse(self, placed: "Placed", major_deg: float) -> None:
        known = placed.turn_deg is not None and placed.minor_deg is not None
        minor_deg = placed.minor_deg if known and placed.minor_deg else major_deg
        middle = self._dots(*_from_middle(self._view, placed))
        half = self._scale / 2
        self._canvas.ellipse(
            *middle, max(0.5, major_deg * half), max(0.5, minor_deg * half), placed.turn_deg or 0.0
        )

    def _word(self, x_deg: float, y_deg: float, word: str) -> None:
        across, down = self._dots(x_deg, y_deg)
        self._canvas.word(math.floor(across / 2), math.floor(down / 4), word)

    def direction(self, word: str, turn_deg: float) -> None:
        """A letter outside the frame, where that direction leaves it."""
        right, up = math.sin(math.radians(turn_deg)), math.cos(math.radians(turn_deg))
        wide, high = self._view.width_deg / 2, self._view.height_deg / 2
        edge = min(
            wide / abs(right) if abs(right) > 1e-9 else math.inf,
            high / abs(up) if abs(up) > 1e-9 else math.inf,
        )
        across, down = self._dots(right * edge, up * edge)
        column = math.floor(across / 2) + round(right)
        row = math.floor(down / 4) - round(up)
        canvas = self._canvas
        self._canvas.word(
            min(canvas.columns - 1, max(0, column)), min(canvas.rows - 1, max(0, row)), word
        )
