"""What is drawn of a suggestion: its frame to scale, and its altitude through the night."""

from typing import TYPE_CHECKING

from logbook.screen.services.services import Desk
from logbook.screen.widgets.canvas import Canvas

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from logbook.sky.altitude.curve import AltitudeCurve
    from logbook.sky.ranking.suggestions import Suggestion

_FULL_ALTITUDE_DEG = 90.0
_DARK_DEG = -18.0
_LABEL = 4


def frame_lines(
    found: "Suggestion",
    field_deg: tuple[float, float] | None,
    position_angle_deg: float | None,
    columns: int,
    rows: int,
) -> list[str]:
    """The field and the object's ellipse to one scale, north up and east left.

    An object of unknown position angle is drawn as a circle of its major axis; one of unknown size
    as a cross.
    """
    canvas = Canvas(columns, rows)
    width_deg, height_deg = field_deg or (0.0, 0.0)
    major_deg = (found.major_arcmin or 0.0) / 60.0
    across_deg = max(width_deg, major_deg, 1e-6)
    down_deg = max(height_deg, major_deg, 1e-6)
    dots_per_deg = 0.92 * min(canvas.width / across_deg, canvas.height / down_deg)
    x, y = canvas.width / 2, canvas.height / 2
    if field_deg is not None:
        _rectangle(canvas, x, y, width_deg * dots_per_deg / 2, height_deg * dots_per_deg / 2)
    if not major_deg:
        canvas.line(x - 2, y, x + 2, y)
        canvas.line(x, y - 2, x, y + 2)
    else:
        round_one = position_angle_deg is None or not found.minor_arcmin
        minor_deg = major_deg if round_one else (found.minor_arcmin or 0.0) / 60.0
        # North is up and east left, so an angle through east turns anticlockwise.
        canvas.ellipse(
            x,
            y,
            max(0.5, major_deg * dots_per_deg / 2),
            max(0.5, minor_deg * dots_per_deg / 2),
            -(position_angle_deg or 0.0),
        )
    canvas.word(columns // 2, 0, "N")
    canvas.word(0, rows // 2, "E")
    return canvas.lines()


def _rectangle(canvas: Canvas, x: float, y: float, half_width: float, half_height: float) -> None:
    left, right = x - half_width, x + half_width - 0.5
    top, bottom = y - half_height, y + half_height - 0.5
    canvas.line(left, top, right, top)
    canvas.line(left, bottom, right, bottom)
    canvas.line(left, top, left, bottom)
    canvas.line(right, top, right, bottom)


def curve_lines(
    desk: Desk,
    curve: "AltitudeCurve",
    limit_deg: float,
    columns: int,
    rows: int,
    transit_utc: "datetime | None" = None,
) -> list[str]:
    """Altitude from 0 to 90° between the curve's ends, airmass at the right, clock times below.

    The wanted altitude and the Moon are dotted, the site's horizon is a line of its own; a line at
    the bottom runs while it is fully dark. The axis has an M where the meridian is crossed.
    """
    sketch = _Curve(curve, Canvas(columns - 2 * _LABEL, rows - 1))
    sketch.level(limit_deg)
    sketch.along(curve.altitude_deg)
    if any(curve.horizon_deg):
        sketch.along(curve.horizon_deg)
    sketch.moon()
    sketch.darkness()
    crossing = None if transit_utc is None else sketch.column(transit_utc)
    axis = _axis(desk, curve, columns - 2 * _LABEL, crossing, transit_utc)
    return [*_labelled(sketch.canvas.lines()), f"{'':{_LABEL}}{axis}"]


class _Curve:
    """Draws one value an instant against time."""

    def __init__(self, curve: "AltitudeCurve", canvas: Canvas) -> None:
        self.canvas = canvas
        self._curve = curve
        self._last = len(curve.instants) - 1

    def _place(self, index: int, altitude_deg: float) -> tuple[float, float]:
        x = index / self._last * (self.canvas.width - 1)
        return x, (1.0 - altitude_deg / _FULL_ALTITUDE_DEG) * (self.canvas.height - 1)

    def level(self, altitude_deg: float) -> None:
        """A dotted line at one altitude."""
        _, y = self._place(0, altitude_deg)
        self.canvas.line(0, y, self.canvas.width - 1, y, every=4)

    def along(self, altitudes_deg: "Sequence[float]") -> None:
        """A line through what stands above 0°."""
        for index in range(self._last):
            if altitudes_deg[index] > 0 and altitudes_deg[index + 1] > 0:
                start = self._place(index, altitudes_deg[index])
                self.canvas.line(*start, *self._place(index + 1, altitudes_deg[index + 1]))

    def moon(self) -> None:
        """The Moon, dotted."""
        for index in range(0, self._last, 2):
            if self._curve.moon_altitude_deg[index] > 0:
                self.canvas.dot(*self._place(index, self._curve.moon_altitude_deg[index]))

    def darkness(self) -> None:
        """A line at the foot while it is fully dark."""
        for index in range(self._last):
            if self._curve.sun_altitude_deg[index] < _DARK_DEG:
                self.canvas.line(*self._place(index, 0.0), *self._place(index + 1, 0.0))

    def column(self, at: "datetime") -> int | None:
        """The column of an instant; None outside the curve."""
        start, end = self._curve.instants[0], self._curve.instants[-1]
        if not start <= at <= end:
            return None
        return min(self.canvas.columns - 1, int((at - start) / (end - start) * self.canvas.columns))


def _labelled(lines: list[str]) -> list[str]:
    """Altitude at the left, and the airmass that goes with it at the right, of three rows."""
    marks = {0: ("90°", "1.0"), len(lines) // 2: ("45°", "1.4"), len(lines) - 1: (" 0°", "")}
    labelled = []
    for row, line in enumerate(lines):
        left, right = marks.get(row, ("", ""))
        labelled.append(f"{left:{_LABEL}}{line} {right}".rstrip())
    return labelled


def _axis(
    desk: Desk,
    curve: "AltitudeCurve",
    columns: int,
    crossing: int | None,
    transit_utc: "datetime | None",
) -> str:
    """Clock times at both ends, and the meridian where there is room for it."""
    start, end = (desk.event_words(curve.instants[each]) for each in (0, -1))
    signs = list(f"{start}{'':{max(0, columns - 10)}}{end}")
    if crossing is not None and transit_utc is not None:
        words = f"M {desk.event_words(transit_utc)}"
        at = max(6, min(crossing, columns - 6 - len(words)))
        signs[at : at + len(words)] = words
    return "".join(signs)
