"""Straight lines through what was read, night by night."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import fmean

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
    if xx <= 1e-9 or free < 0:
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


def cooling_hours(points: Iterable[tuple[float, float, int]]) -> Slope | None:
    """The time in which a mirror's lead over the air falls to 1/e, from (hours, lead °C, night).

    Newton's law: the lead falls as exp(−t/τ); leads under 0.3 °C are left out, since they are
    mostly the thermometers' own. `a_unit` is τ in hours. None where it does not fall.
    """
    logs = [(at, math.log(lead), night) for at, lead, night in points if lead >= 0.3]
    found = slope(logs)
    if found is None or found.a_unit >= -1e-3:
        return None
    return Slope(-1.0 / found.a_unit, found.sigma / found.a_unit**2, found.count)


def by_month(points: Sequence[tuple[date, float]]) -> list[tuple[date, float]]:
    """The mean of each month, in order, dated on its first day."""
    months: dict[date, list[float]] = {}
    for when, value in points:
        months.setdefault(when.replace(day=1), []).append(value)
    return [(month, fmean(values)) for month, values in sorted(months.items())]
