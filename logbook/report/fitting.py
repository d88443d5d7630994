"""Straight lines through what was read, night by night."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Slope:
    """How much y changes for one unit of x, with its standard error, from `count` points."""

    a_unit: float
    sigma: float
    count: int


def slope(points: Iterable[tuple[float, float, int]]) -> Slope | None:
    """The slope within groups of (x, y, group): each group keeps its own level.

    None with fewer than two points in every group or no spread of x. Source: ordinary least
    squares on values less their group's mean; Montgomery, Peck and Vining 2012, ch. 8.
    """
    groups: dict[int, list[tuple[float, float]]] = {}
    for x, y, group in points:
        groups.setdefault(group, []).append((x, y))
    kept = [each for each in groups.values() if len(each) > 1]
    away = [pair for each in kept for pair in _less_mean(each)]
    spread = sum(x * x for x, _ in away)
    free = len(away) - len(kept) - 1
    if spread <= 1e-9 or free < 0:
        return None
    found = sum(x * y for x, y in away) / spread
    rest = sum((y - found * x) ** 2 for x, y in away)
    sigma = math.sqrt(rest / free / spread) if free > 0 else 0.0
    return Slope(found, sigma, len(away))


def _less_mean(group: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    x_mean = sum(x for x, _ in group) / len(group)
    y_mean = sum(y for _, y in group) / len(group)
    return [(x - x_mean, y - y_mean) for x, y in group]


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
