"""When a smooth curve passes given levels: every passage, none missed, none invented."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from logbook.sky.night.arrays import Floats

Curve = Callable[[Floats], Floats]
_STEP = 10.0 / 1440.0
_SOON = 1e-8  # days: a millisecond


@dataclass(frozen=True, slots=True)
class Crossing:
    """The instant of a passage, and whether the curve rises through the level there."""

    mjd: float
    rising: bool


@dataclass(frozen=True, slots=True)
class Passages:
    """Where a curve lies over a span, cut at its turning points into monotonic pieces."""

    start_mjd: float
    end_mjd: float
    nodes: Floats
    values: Floats
    crossings: tuple[tuple[Crossing, ...], ...]  # for each level asked

    def spans(self, level_index: int, level: float, *, above: bool) -> list[tuple[float, float]]:
        """The spans (start, end) in which the curve lies above or below that level."""
        found = self.crossings[level_index]
        inside = bool(self.values[0] >= level) == above
        edges = [self.start_mjd] if inside else []
        edges += [crossing.mjd for crossing in found]
        if len(edges) % 2:
            edges.append(self.end_mjd)
        return list(zip(edges[::2], edges[1::2], strict=True))


def passages(curve: Curve, start_mjd: float, end_mjd: float, levels: Sequence[float]) -> Passages:
    """All passages of `curve` through each level between a start and an end.

    The curve is looked at every ten minutes; each turning point in between is found by parabolas,
    so that a curve which only just passes a level and comes back is not missed. It must not turn
    twice within twenty minutes, which no body in the sky does.
    """
    count = int(np.ceil((end_mjd - start_mjd) / _STEP)) + 1
    grid = np.linspace(start_mjd, end_mjd, count)
    heights = curve(grid)
    turns = _turning_points(curve, grid, heights)
    nodes, order = np.unique(np.concatenate([grid, turns]), return_index=True)
    values = np.concatenate([heights, curve(turns)])[order]
    brackets = [_brackets(values, level) for level in levels]
    lefts = np.concatenate(brackets)
    targets = np.repeat(np.asarray(levels, dtype=np.float64), [len(each) for each in brackets])
    instants = _solve(curve, nodes, values, lefts, targets)
    rising = values[lefts + 1] > values[lefts]
    everything = [Crossing(float(t), bool(up)) for t, up in zip(instants, rising, strict=True)]
    ends = np.cumsum([0, *(len(each) for each in brackets)])
    per_level = tuple(tuple(everything[a:b]) for a, b in pairwise(ends))
    return Passages(start_mjd, end_mjd, nodes, values, per_level)


def _brackets(values: Floats, level: float) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    above = values >= level
    return np.flatnonzero(above[1:] != above[:-1])


def _turning_points(curve: Curve, grid: Floats, heights: Floats) -> Floats:
    slopes = np.diff(heights)
    at = np.flatnonzero(slopes[1:] * slopes[:-1] <= 0.0) + 1
    middle, step = grid[at], grid[1] - grid[0]
    if not at.size:
        return middle
    for _ in range(3):
        before, here, after = np.split(
            curve(np.concatenate([middle - step, middle, middle + step])), 3
        )
        bend = before - 2.0 * here + after
        shift = np.where(bend == 0.0, 0.0, (before - after) / np.where(bend == 0.0, 1.0, 2 * bend))
        middle = np.clip(middle + step * np.clip(shift, -1.0, 1.0), grid[0], grid[-1])
        step /= 8.0
    return middle


def _solve(
    curve: Curve,
    nodes: Floats,
    values: Floats,
    lefts: np.ndarray[tuple[int], np.dtype[np.intp]],
    targets: Floats,
) -> Floats:
    """Roots in brackets, all together, to a millisecond: parabolas where they help, else halves.

    Source: Chandrupatla 1997, Advances in Engineering Software 28, 145.
    """
    a, fa = nodes[lefts], values[lefts] - targets
    b, fb = nodes[lefts + 1], values[lefts + 1] - targets
    part = np.full_like(a, 0.5)
    for _ in range(60):
        if not a.size or np.all(np.minimum(np.abs(b - a), np.abs(fa)) == 0.0):
            break
        here = a + part * (b - a)
        value = curve(here) - targets
        same = np.sign(value) == np.sign(fa)
        c, fc = np.where(same, a, b), np.where(same, fa, fb)
        b, fb = np.where(same, b, a), np.where(same, fb, fa)
        a, fa = here, value
        least = _SOON / np.maximum(np.abs(b - a), _SOON)
        if np.all((least > 0.5) | (fa == 0.0)):
            break
        part = np.clip(_parabola(a, b, c, fa, fb, fc), least, 1.0 - least)
    return np.where(np.abs(fa) < np.abs(fb), a, b)


def _parabola(a: Floats, b: Floats, c: Floats, fa: Floats, fb: Floats, fc: Floats) -> Floats:
    """How far from a to b the next look should be."""
    with np.errstate(divide="ignore", invalid="ignore"):
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        step = fa / (fb - fa) * fc / (fb - fc)
        step += (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        trusted = (phi**2 < xi) & ((1.0 - phi) ** 2 < 1.0 - xi) & np.isfinite(step)
    return np.where(trusted, step, 0.5)
