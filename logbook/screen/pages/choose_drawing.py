"""What is drawn of a suggestion: its frame to scale, and its altitude through the night."""

from typing import TYPE_CHECKING

from logbook.screen.canvas import Canvas
from logbook.screen.desk import Desk

if TYPE_CHECKING:
    from logbook.sky.curve import AltitudeCurve
    from logbook.sky.suggest import Suggestion

_FULL_ALTITUDE_DEG = 90.0
_DARK_DEG = -18.0


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
    desk: Desk, curve: "AltitudeCurve", limit_deg: float, columns: int, rows: int
) -> list[str]:
    """Altitude from 0 to 90° between the curve's ends.

    The wanted altitude and the Moon are dotted; a line at the bottom runs while it is fully dark.
    """
    canvas = Canvas(columns, rows - 1)
    last = len(curve.instants) - 1

    def place(index: int, altitude_deg: float) -> tuple[float, float]:
        x = index / last * (canvas.width - 1)
        return x, (1.0 - altitude_deg / _FULL_ALTITUDE_DEG) * (canvas.height - 1)

    _, limit_y = place(0, limit_deg)
    canvas.line(0, limit_y, canvas.width - 1, limit_y, every=4)
    for index in range(last):
        if curve.altitude_deg[index] > 0 and curve.altitude_deg[index + 1] > 0:
            canvas.line(
                *place(index, curve.altitude_deg[index]),
                *place(index + 1, curve.altitude_deg[index + 1]),
            )
        if curve.sun_altitude_deg[index] < _DARK_DEG:
            canvas.line(*place(index, 0.0), *place(index + 1, 0.0))
        if curve.moon_altitude_deg[index] > 0 and index % 2 == 0:
            canvas.dot(*place(index, curve.moon_altitude_deg[index]))
    start, end = (desk.event_words(curve.instants[each]) for each in (0, -1))
    middle = desk.event_words(curve.instants[last // 2])
    axis = f"{start}{middle:^{columns - 10}}{end}"
    return [*canvas.lines(), axis]
