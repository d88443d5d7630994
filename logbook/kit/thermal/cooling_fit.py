"""A telescope's cooling constant, fitted to readings of its own temperature and of the air.

The mirror follows the air with a lag: dTm/dt = -(Tm - Ta) / tau, the lumped capacitance of
Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, ch. 5. The air is taken as it was read,
straight from reading to reading, so that a night that cools spoils nothing.
Instants are minutes from any zero; temperatures are in °C. Imports numpy: not for the first frame.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.kit.thermal.cooling_response import response
from logbook.kit.thermal.tube_constant import FEWEST_READINGS, LUMPED
from logbook.kit.thermal.uncertainty import NotLearned, student_t

Readings = Sequence[tuple[float, float]]  # (minutes, °C)
Numbers = NDArray[np.float64]

LEAST_K = 1.0  # a smaller difference to the air teaches nothing
FINEST_K = 0.1 / math.sqrt(12.0)  # the scatter that rounding to 0.1 K makes: no fit is better
MOST = 60  # readings; more are averaged in neighbours
WIDEST = 4.0  # times: an interval wider than this means nothing
FASTEST_MIN, SLOWEST_MIN = 2.0, 2880.0


@dataclass(frozen=True, slots=True)
class Within:
    """When the difference to the air is within `to_k`, if the air stays as it was read last.

    Minutes on the clock of the readings; early and late bound 95 %, equal once it has happened.
    """

    to_k: float
    now_min: float  # of the last reading
    at_min: float
    early_min: float
    late_min: float
    air_c: float

    @property
    def words(self) -> str:
        """As one says it at the telescope."""
        if self.at_min <= self.now_min:
            return f"within {self.to_k:g} K of the air by now"
        minutes, early, late = (
            max(0.0, each - self.now_min) for each in (self.at_min, self.early_min, self.late_min)
        )
        return (
            f"within {self.to_k:g} K {minutes:.0f} min after the last reading "
            f"({early:.0f} to {late:.0f}), if the air stays at {self.air_c:.1f} °C"
        )


@dataclass(frozen=True, slots=True)
class CoolingFit:
    """One night's constant.

    tau_min -- minutes in which the difference falls to 37 % in still air; low and high bound 95 %.
    sigma_min -- one standard error, by the readings alone; low and high let for the model too.
    scatter_k -- of one reading about the curve.
    start_c -- the body's temperature at its first reading, `start_min`.
    spread_k -- standard error of the curve at the last reading, the air's own included.
    """

    tau_min: float
    sigma_min: float
    low_min: float
    high_min: float
    scatter_k: float
    count: int
    start_min: float
    start_c: float
    air: tuple[tuple[float, float], ...]
    end_min: float
    edges: tuple[tuple[float, float], tuple[float, float]]  # (tau, K from the air at the end)
    spread_k: float

    def body_at(self, at_min: float) -> float:
        """The curve's temperature; the air stays as first and last read outside its readings."""
        return float(self._bodies(np.array([max(at_min, self.start_min)]))[0])

    def difference_at(self, at_min: float) -> float:
        """The curve less the air, in kelvin."""
        return self.body_at(at_min) - self.air_at(at_min)

    def air_at(self, at_min: float) -> float:
        """The air, straight from reading to reading."""
        times, degrees = zip(*self.air, strict=True)
        return float(np.interp(at_min, times, degrees))

    def _bodies(self, at_min: Numbers) -> Numbers:
        times, degrees = (np.array(each) for each in zip(*self.air, strict=True))
        falls, weights = response(np.array([self.tau_min]), times, self.start_min, at_min)
        return np.asarray(falls[0] * self.start_c + weights[0] @ degrees)

    def within(self, to_k: float = LEAST_K) -> Within:
        """When the difference is small enough, with its uncertainty. Raises ValueError."""
        if not (math.isfinite(to_k) and to_k > 0):
            raise ValueError(f"a difference of {to_k} K is never reached")
        now, air_c = self.end_min, self.air_at(self.end_min)
        left_k = abs(self.difference_at(now))
        if left_k <= to_k:
            at = self._reached(to_k)
            return Within(to_k, now, at, at, at, air_c)
        minutes = self.tau_min * math.log(left_k / to_k)
        ends = [tau * math.log(max(abs(k), 1e-9) / to_k) for tau, k in self.edges]
        by_level = student_t(self.count - 2) * self.tau_min * self.spread_k / left_k
        early = now + minutes - math.hypot(minutes - min(*ends, minutes), by_level)
        late = now + minutes + math.hypot(max(*ends, minutes) - minutes, by_level)
        return Within(to_k, now, now + minutes, early, late, air_c)

    def _reached(self, to_k: float) -> float:
        """The minute after which the curve stayed within."""
        times = np.linspace(self.start_min, self.end_min, 400)
        air_min, air_c = (np.array(each) for each in zip(*self.air, strict=True))
        apart = np.abs(self._bodies(times) - np.interp(times, air_min, air_c))
        outside = np.flatnonzero(apart > to_k)
        return float(times[outside[-1]]) if outside.size else self.start_min


def fit_cooling(air: Readings, body: Readings, what: str = "mirror") -> CoolingFit | NotLearned:
    """Fit tau and the first temperature to a night's readings; why not, where that cannot be.

    Least squares in which the air's readings scatter as the body's do; the interval is that of
    the profile: every tau whose sum of squares is below the least one times 1 + t²/(n - 2)
    (Seber & Wild 1989, Nonlinear Regression, ch. 5).
    """
    air, body = _thinned(air), _thinned(body)
    refusal = _refusal(air, body, what)
    if refusal:
        return NotLearned(refusal)
    sums = _Sums(air, body)
    coarse = np.geomspace(FASTEST_MIN, SLOWEST_MIN, 40)
    rough = _best(coarse, sums.of(coarse)[0])
    sums.weigh(rough)
    allowed, place, squares, _ = _allowed(coarse, sums)
    low, high = max(0, allowed[0] - 1), min(len(coarse) - 1, allowed[-1] + 1)
    if allowed[0] == 0 or allowed[-1] == len(coarse) - 1:
        return NotLearned(_unclear(what))
    fine = np.geomspace(coarse[min(low, place - 1)], coarse[max(high, place + 1)], 64)
    allowed, place, squares, limit = _allowed(fine, sums)
    tau_min = _best(fine, squares)
    low_min = _crossing(fine, squares, limit, (allowed[0], allowed[0] - 1))
    high_min = _crossing(fine, squares, limit, (allowed[-1], allowed[-1] + 1))
    if high_min > WIDEST * low_min:
        return NotLearned(_unclear(what))
    sigma_min = tau_min * math.log(high_min / low_min) / (2.0 * student_t(len(body) - 2))
    low_min, high_min = _with_lumped(tau_min, low_min, high_min, len(body) - 2)
    return _fit(sums, (low_min, tau_min, high_min), sigma_min)


def _crossing(taus: Numbers, squares: Numbers, limit: float, places: tuple[int, int]) -> float:
    """Where the sum of squares passes the limit, between an allowed tau and its neighbour."""
    inside, outside = places
    if not 0 <= outside < len(taus):
        return float(taus[inside])
    part = (limit - squares[inside]) / (squares[outside] - squares[inside])
    return float(taus[inside] * (taus[outside] / taus[inside]) ** part)


def _with_lumped(tau_min: float, low_min: float, high_min: float, left: int) -> tuple[float, float]:
    """The interval of the readings' scatter, widened by what the model itself leaves out."""
    model = student_t(left) * LUMPED
    down = math.hypot(math.log(tau_min / low_min), model)
    up = math.hypot(math.log(high_min / tau_min), model)
    return tau_min * math.exp(-down), tau_min * math.exp(up)


def _fit(sums: "_Sums", taus: tuple[float, float, float], sigma_min: float) -> CoolingFit:
    """What is known of the best tau and the ends of its interval."""
    low_min, tau_min, high_min = taus
    squares, starts, errors = sums.of(np.array(taus))
    count = len(sums.body_min)
    scatter_k = max(math.sqrt(float(squares[1]) / (count - 2)), FINEST_K)
    end_min = float(max(sums.body_min[-1], sums.air_min[-1]))
    falls, weights = response(
        np.array(taus), sums.air_min, float(sums.body_min[0]), np.array([end_min])
    )
    ends = falls[:, 0] * starts + weights[:, 0] @ sums.air_c - sums.air_c[-1]
    return CoolingFit(
        tau_min=tau_min,
        sigma_min=sigma_min,
        low_min=low_min,
        high_min=high_min,
        scatter_k=scatter_k,
        count=count,
        start_min=float(sums.body_min[0]),
        start_c=float(starts[1]),
        air=tuple(zip(sums.air_min.tolist(), sums.air_c.tolist(), strict=True)),
        end_min=end_min,
        edges=((low_min, float(ends[0])), (high_min, float(ends[2]))),
        spread_k=scatter_k * math.hypot(1.0, float(falls[1, 0] * errors[1])),
    )


class _Sums:
    """Sums of squares of many taus at once, each with its best first temperature."""

    def __init__(self, air: Readings, body: Readings) -> None:
        self.air_min, self.air_c = (np.array(each) for each in zip(*air, strict=True))
        self.body_min, self.body_c = (np.array(each) for each in zip(*body, strict=True))
        self._whiten = np.eye(len(body))

    def weigh(self, tau_min: float) -> None:
        """Let for the scatter of the air's readings, which the body follows damped."""
        _, weights = self._response(np.array([tau_min]))
        both = np.eye(len(self.body_min)) + weights[0] @ weights[0].T
        self._whiten = np.linalg.inv(np.linalg.cholesky(both))

    def of(self, tau_min: Numbers) -> tuple[Numbers, Numbers, Numbers]:
        """Sums of squares, first temperatures, and their standard errors where readings have 1."""
        falls, weights = self._response(tau_min)
        wanted = (self.body_c - weights @ self.air_c) @ self._whiten.T
        falls = falls @ self._whiten.T
        lengths = np.einsum("ij,ij->i", falls, falls)
        starts = np.einsum("ij,ij->i", falls, wanted) / lengths
        left = wanted - starts[:, None] * falls
        return np.einsum("ij,ij->i", left, left), starts, 1.0 / np.sqrt(lengths)

    def _response(self, tau_min: Numbers) -> tuple[Numbers, Numbers]:
        return response(tau_min, self.air_min, float(self.body_min[0]), self.body_min)


def _allowed(taus: Numbers, sums: _Sums) -> tuple[NDArray[np.int64], int, Numbers, float]:
    """Places of the taus in the interval, the best one's, the sums of squares, and their limit."""
    squares = sums.of(taus)[0]
    place = int(np.argmin(squares))
    left = len(sums.body_min) - 2
    limit = squares[place] + student_t(left) ** 2 * max(squares[place] / left, FINEST_K**2)
    return np.flatnonzero(squares <= limit), place, squares, float(limit)


def _best(taus: Numbers, squares: Numbers) -> float:
    """The least, between the points of an even grid of logarithms, by a parabola."""
    place = int(np.argmin(squares))
    if not 0 < place < len(taus) - 1:
        return float(taus[place])
    before, least, after = squares[place - 1 : place + 2]
    bend = before - 2.0 * least + after
    step = 0.5 * (before - after) / bend if bend > 0 else 0.0
    return float(taus[place] * (taus[1] / taus[0]) ** step)


def _thinned(readings: Readings) -> list[tuple[float, float]]:
    """In order of time, one value an instant, and no more than count; neighbours are averaged."""
    found: dict[float, list[float]] = {}
    for minutes, degrees in readings:
        if math.isfinite(minutes) and math.isfinite(degrees):
            found.setdefault(minutes, []).append(degrees)
    ordered = [(each, sum(found[each]) / len(found[each])) for each in sorted(found)]
    size = math.ceil(len(ordered) / MOST)
    groups = [ordered[place : place + size] for place in range(0, len(ordered), max(size, 1))]
    return [
        (sum(each for each, _ in group) / len(group), sum(each for _, each in group) / len(group))
        for group in groups
    ]


def _refusal(air: Readings, body: Readings, what: str) -> str:
    if len(body) < FEWEST_READINGS:
        return f"{FEWEST_READINGS} readings of the {what} are needed; {len(body) or 'none'} so far"
    if not air:
        return f"the air's temperature is needed beside the {what}'s"
    times, degrees = zip(*air, strict=True)
    apart = [each - float(np.interp(minutes, times, degrees)) for minutes, each in body]
    if max(map(abs, apart)) < LEAST_K:
        return f"the {what} was never {LEAST_K:g} K from the air: nothing to learn from"
    if body[-1][1] - body[0][1] > 0.5 and min(apart) > -0.5:
        return f"the {what} warmed though it was warmer than the air: nothing to learn from"
    if abs(apart[-1]) > abs(apart[0]) and body[-1][1] - body[0][1] > 0.5:
        return f"the {what} warmed: nothing to learn from"
    return ""


def _unclear(what: str) -> str:
    return f"the {what} has not yet come near enough to the air to tell how fast it follows"
