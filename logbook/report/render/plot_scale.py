"""The scales of a plot, the same in a terminal and in a report."""

import math

from logbook.report.render.document import Plot

_MOST_STEPS = 4


def reach(points: list[tuple[float, float]], plot: Plot) -> tuple[float, float]:
    """The span of the x axis, with space for bars; never empty."""
    xs = [x for x, _ in points] + [x for x, _ in plot.ticks]
    low, high = min(xs), max(xs)
    if high <= low:
        return low - 0.5, high + 0.5
    room = (high - low) / len(points) / 2.0 if plot.bars else 0.0  # for half a bar at either end
    return low - room, high + room


def scale(values: list[float], *, from_zero: bool = False) -> tuple[list[float], int]:
    """Round numbers that hold all values between the first and the last, and their decimals."""
    low, high = min(values), max(values)
    if from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    if high - low < 1e-9 * max(abs(low), abs(high), 1e-6):
        room = max(abs(high) * 0.1, 0.5)
        low, high = low if from_zero else low - room, high + room
    step = _round_step((high - low) / _MOST_STEPS)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return [place * step for place in range(first, max(last, first + 1) + 1)], decimals


def marks_words(marks: list[float], decimals: int) -> list[str]:
    """The numbers of a scale as they are written beside it."""
    return [f"{mark + 0.0:.{decimals}f}".replace("-", "−") for mark in marks]


def _round_step(least: float) -> float:
    """The first of 1, 2, 5, 10 ... that is no smaller."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(each * power for each in (1.0, 2.0, 5.0, 10.0) if each * power >= least * 0.999)
