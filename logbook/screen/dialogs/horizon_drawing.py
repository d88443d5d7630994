"""A site's horizon drawn from north over east, south and west back to north."""

from logbook.screen.widgets.canvas import Canvas
from logbook.sky.night.site import Horizon, horizon_altitude_deg

_LABEL = 4


def horizon_lines(horizon: Horizon, columns: int, rows: int) -> list[str]:
    """The profile with altitudes at the left and the points of the compass under it."""
    highest = max((altitude for _, altitude in horizon), default=0.0)
    top_deg = next(each for each in (15.0, 30.0, 45.0, 60.0, 90.0) if highest <= each)
    canvas = Canvas(columns - _LABEL, rows - 1)
    for x in range(canvas.width):
        altitude = horizon_altitude_deg(horizon, x / (canvas.width - 1) * 360.0)
        y = (1.0 - max(0.0, altitude) / top_deg) * (canvas.height - 1)
        canvas.line(x, y, x, canvas.height - 1)
    lines = [f"{'':{_LABEL}}{line}" for line in canvas.lines()]
    lines[0] = f"{top_deg:2.0f}° {lines[0][_LABEL:]}"
    lines[-1] = f" 0° {lines[-1][_LABEL:]}"
    return [*lines, f"{'':{_LABEL}}{_compass(canvas.columns)}"]


def _compass(columns: int) -> str:
    signs = [" "] * columns
    for place, sign in enumerate("NESWN"):
        signs[round(place / 4 * (columns - 1))] = sign
    return "".join(signs)
