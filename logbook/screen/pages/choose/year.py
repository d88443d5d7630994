"""A year of one object drawn: usable hours a night, with and without the Moon."""

from typing import TYPE_CHECKING

from logbook.screen.widgets.canvas import Canvas

if TYPE_CHECKING:
    from logbook.sky.altitude.year import YearAhead

_LABEL = 4
_MONTHS = "JFMAMJJASOND"


def year_lines(year: "YearAhead", columns: int, rows: int) -> list[str]:
    """Columns of hours, filled without the Moon and dotted above that, with months below."""
    canvas = Canvas(columns - _LABEL, rows - 1)
    most = max((*year.hours, 1.0))
    count = len(year.dates)
    for x in range(canvas.width):
        night = min(count - 1, x * count // canvas.width)
        height = canvas.height - 1
        moonless = year.moonless_hours[night] / most * height
        usable = year.hours[night] / most * height
        if moonless >= 0.5:
            canvas.line(x, height, x, height - moonless)
        if usable >= 0.5:
            canvas.dot(x, height - usable)
    lines = [f"{'':{_LABEL}}{line}" for line in canvas.lines()]
    lines[0] = f"{most:2.0f} h{lines[0][_LABEL:]}"
    return [*lines, f"{'':{_LABEL}}{_months(year, canvas.columns)}"]


def _months(year: "YearAhead", columns: int) -> str:
    """The first letter of each month where it begins."""
    signs = [" "] * columns
    for place, each in enumerate(year.dates):
        if each.day == 1:
            signs[min(columns - 1, place * columns // len(year.dates))] = _MONTHS[each.month - 1]
    return "".join(signs)
