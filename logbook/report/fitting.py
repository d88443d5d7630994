"""Straight lines through what was read, night by night."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Whole = NDArray[np.int64]

LEAST_SPREAD = 1e-9  # of x, squared and summed; below it no line has a slope
LEAST_LEAD_C = 0.3
MOST_DOTS = 400  # in one plot; more of them cover each other


@dataclass(frozen=True, slots=True)
class Slope:
    """How much y changes for one unit of x, with its standard error, from `count` points."""

    a_unit: float
    sigma: float
    count: int


def slope(points: Iterable[tuple[float, float, int]]) -> Slope | None:
    """The slope within groups of (x, y, group): each group keeps its own level.

    None with fewer than two points in every group or no spread of x. Source: ordinary least
    squares on values less their group's mean; Montgomery, Peck and Vining 2012, ch. 8 (from
    memory).
    """
    groups: dict[int, _Sums] = {}
    for x, y, group in points:
        if group not in groups:
            groups[group] = _Sums(x, y)
        groups[group].add(x, y)
    kept = [each for each in groups.values() if each.count > 1]
    xx = sum(each.xx - each.x * each.x / each.count for each in kept)
    xy = sum(each.xy - each.x * each.y / each.count for each in kept)
    yy = sum(each.yy - each.y * each.y / each.count for each in kept)
    count = sum(each.count for each in kept)
    free = count - len(kept) - 1
    if xx <= LEAST_SPREAD or free < 0:
        return None
    found = xy / xx
    sigma = math.sqrt(max(yy - found * xy, 0.0) / free / xx) if free else 0.0
    return Slope(found, sigma, count)


class _Sums:
    """Sums over a group, of x and y less those of its first point."""

    __slots__ = ("count", "x", "x_from", "xx", "xy", "y", "y_from", "yy")

    def __init__(self, x: float, y: float) -> None:
        self.x_from, self.y_from = x, y
        self.count = 0
        self.x = self.y = self.xx = self.xy = self.yy = 0.0

    def add(self, x: float, y: float) -> None:
        x, y = x - self.x_from, y - self.y_from
        self.count += 1
        self.x += x
        self.y += y
        self.xx += x * x
        self.xy += x * y
        self.yy += y * y


def slopes_of_parts(x: "Floats", y: "Floats", group: "Whole", part: "Whole") -> dict[int, Slope]:
    """The slope of each part of many points at once, as `slope` gives it for one.

    part -- to which part each point belongs, all of a group to one. Where `slope` gives None, the
    part is left out.
    """
    import numpy as np

    names, part_at = np.unique(part, return_inverse=True)
    _, firsts, group_at = np.unique(group, return_index=True, return_inverse=True)
    size = np.bincount(group_at)
    x = x - (np.bincount(group_at, x) / size)[group_at]
    y = y - (np.bincount(group_at, y) / size)[group_at]
    xx, xy, yy = (np.bincount(part_at, each, len(names)) for each in (x * x, x * y, y * y))
    part_of_group, counts = part_at[firsts], size > 1
    count = np.bincount(part_of_group, size * counts, len(names))
    free = count - np.bincount(part_of_group, counts, len(names)) - 1
    found = {}
    for at in np.flatnonzero((xx > LEAST_SPREAD) & (free >= 0)):
        a_unit = float(xy[at] / xx[at])
        left = max(float(yy[at] - a_unit * xy[at]), 0.0)
        sigma = math.sqrt(left / free[at] / xx[at]) if free[at] else 0.0
        found[int(names[at])] = Slope(a_unit, sigma, int(count[at]))
    return found


def cooling_of_parts(
    hours: "Floats", lead_c: "Floats", group: "Whole", part: "Whole"
) -> dict[int, Slope]:
    """The time in which a mirror's lead over the air falls to 1/e, part by part, in hours.

    Newton's law: the lead falls as exp(−t/τ); `a_unit` is τ. Leads under 0.3 °C are left out, since
    they are mostly the thermometers' own. A part where it does not fall is left out.
    """
    import numpy as np

    told = lead_c >= LEAST_LEAD_C
    logs = np.log(lead_c[told])
    falls = slopes_of_parts(hours[told], logs, group[told], part[told])
    return {
        name: Slope(-1.0 / fall.a_unit, fall.sigma / fall.a_unit**2, fall.count)
        for name, fall in falls.items()
        if fall.a_unit < -1e-3
    }


def by_month(points: Sequence[tuple[date, float]]) -> list[tuple[date, float]]:
    """The mean of each month, in order, dated on its first day."""
    months: dict[date, list[float]] = {}
    for when, value in points:
        months.setdefault(when.replace(day=1), []).append(value)
    return [(month, fmean(values)) for month, values in sorted(months.items())]
