"""How a train's focus moves with the temperature, learned from the positions it was focused at."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from logbook.kit.thermal.uncertainty import NotLearned, student_t

FEWEST = 4  # focusings that share their night with another one
LEAST_K = 1.0  # of temperature within the nights
SET_STEP_K = 2.0  # where nothing better is known; common practice, no source
_ODD = 0.01  # chance of taking a good reading for a slip

Night = Sequence[tuple[float, float]]  # (°C, position)


@dataclass(frozen=True, slots=True)
class FocusSlope:
    """Position a kelvin of warming, as the focuser counts; low and high bound 95 %.

    scatter -- of one focusing about its night's line; left_out -- focusings taken for slips.
    levels -- (mean °C, mean position, count) of every night, in the order given.
    redo_after_k -- a change of temperature after which to focus anew, redo_basis gives the reason.
    """

    per_k: float
    sigma_per_k: float
    low_per_k: float
    high_per_k: float
    scatter: float
    count: int
    nights: int
    levels: tuple[tuple[float, float, int], ...]
    left_out: tuple[tuple[float, float], ...] = ()
    redo_after_k: float = SET_STEP_K
    redo_basis: str = "a set step"

    @property
    def words(self) -> str:
        """One line."""
        reach = (self.high_per_k - self.low_per_k) / 2.0
        words = f"focus {self.per_k:+.{_places(reach)}f} ± {reach:.{_places(reach)}f} for each K "
        words += f"of warming, {self.count} focusings in {self.nights} "
        words += "night" if self.nights == 1 else "nights"
        if self.left_out:
            words += f", {len(self.left_out)} taken for a slip"
        return words


@dataclass(frozen=True, slots=True)
class Suggested:
    """A focus position for a temperature, with one standard error.

    since_k -- how far the temperature is from where it was last focused tonight; None if it was
    not; redo -- far enough for focusing anew.
    """

    position: float
    sigma: float
    celsius: float
    since_k: float | None
    redo_after_k: float

    @property
    def redo(self) -> bool:
        """It is time."""
        return self.since_k is not None and abs(self.since_k) >= self.redo_after_k

    @property
    def words(self) -> str:
        """One line."""
        places = _places(self.sigma)
        words = f"focus {self.position:.{places}f} ± {self.sigma:.{places}f}"
        words += f" at {self.celsius:.1f} °C"
        if self.since_k is None:
            return f"{words}; not focused yet tonight"
        return f"{words}; {self.since_k:+.1f} K since last focused"


def fit_focus(nights: Sequence[Night]) -> FocusSlope | NotLearned:
    """One slope for all nights, each night with a level of its own.

    A camera put back differently between nights moves a night's level and not the slope. One
    reading in ten at most is left out, if it stands off by more than Student's t allows with the
    number of readings looked at (the outlier test of Cook & Weisberg 1982, Residuals and
    Influence in Regression, ch. 2.2.2).
    """
    kept = [list(_possible(night)) for night in nights]
    counted = sum(len(night) for night in kept if len(night) > 1)
    if counted < FEWEST:
        return NotLearned(
            f"{FEWEST} focusings with a temperature, two or more in a night, are needed; "
            f"{counted or 'none'} so far"
        )
    left_out: list[tuple[float, float]] = []
    for _ in range(1 + counted // 10):
        odd = _odd_one(kept)
        if odd is None:
            break
        night, place = odd
        left_out.append(kept[night].pop(place))
    return _line(kept, tuple(left_out))


def _possible(night: Night) -> list[tuple[float, float]]:
    return [each for each in night if math.isfinite(each[0]) and math.isfinite(each[1])]


@dataclass(frozen=True, slots=True)
class _Residual:
    night: int
    place: int
    left: float
    leverage: float


def _slope(nights: Sequence[Night]) -> tuple[float, float, int]:
    """Slope, sum of squares of temperature within the nights, degrees of freedom."""
    across = along = 0.0
    left = -1
    for night in nights:
        if len(night) < 2:
            continue
        mean_c, mean = _means(night)
        across += sum((celsius - mean_c) ** 2 for celsius, _ in night)
        along += sum((celsius - mean_c) * (position - mean) for celsius, position in night)
        left += len(night) - 1
    return (along / across if across > 0 else 0.0), across, left


def _residuals(nights: Sequence[Night], per_k: float, across: float) -> list[_Residual]:
    found = []
    for number, night in enumerate(nights):
        if len(night) < 2:
            continue
        mean_c, mean = _means(night)
        for place, (celsius, position) in enumerate(night):
            warmer = celsius - mean_c
            leverage = 1.0 / len(night) + (warmer * warmer / across if across > 0 else 0.0)
            found.append(_Residual(number, place, position - mean - per_k * warmer, leverage))
    return found


def _odd_one(nights: Sequence[Night]) -> tuple[int, int] | None:
    """The focusing that stands off furthest, if it is too far to be chance."""
    per_k, across, left = _slope(nights)
    found = _residuals(nights, per_k, across)
    squares = sum(each.left**2 for each in found)
    if left < 4 or squares <= 0:
        return None

    def standing_off(each: _Residual) -> float:
        free = 1.0 - each.leverage
        if free < 1e-9:
            return 0.0
        without = max(squares - each.left**2 / free, 1e-12 * squares)
        return abs(each.left) / math.sqrt(free * without / (left - 1))

    furthest = max(found, key=standing_off)
    allowed = student_t(left - 1, 1.0 - _ODD / 2.0 / len(found))
    return (furthest.night, furthest.place) if standing_off(furthest) > allowed else None


def _line(
    nights: Sequence[Night], left_out: tuple[tuple[float, float], ...]
) -> FocusSlope | NotLearned:
    per_k, across, left = _slope(nights)
    several = [night for night in nights if len(night) > 1]
    widest = max((_span_k(night) for night in several), default=0.0)
    if widest < LEAST_K or left < 1:
        return NotLearned(
            f"the temperature changed by {widest:.1f} K at most between focusings of a night; "
            f"{LEAST_K:g} K is needed to tell a slope"
        )
    squares = sum(each.left**2 for each in _residuals(nights, per_k, across))
    scatter = math.sqrt(squares / left)
    sigma = scatter / math.sqrt(across)
    reach = student_t(left) * sigma
    return FocusSlope(
        per_k=per_k,
        sigma_per_k=sigma,
        low_per_k=per_k - reach,
        high_per_k=per_k + reach,
        scatter=scatter,
        count=sum(len(night) for night in several),
        nights=len(several),
        levels=tuple((*_means(night), len(night)) for night in nights if night),
        left_out=left_out,
    )


def with_zone(slope: FocusSlope, zone: float | None) -> FocusSlope:
    """The slope with the step that uses up half a focus zone: one focuses at its middle.

    zone -- length of the quarter-wave zone in the focuser's own counts; None leaves the set step.
    """
    if not zone or not slope.per_k:
        return slope
    step_k = zone / 2.0 / abs(slope.per_k)
    return replace(slope, redo_after_k=step_k, redo_basis="half the quarter-wave focus zone")


def suggest(slope: FocusSlope, tonight: Night, celsius: float) -> Suggested:
    """Where to focus at a temperature: from tonight's level if there is one, else from the mean
    of the nights' levels, whose scatter then counts."""
    focused = _possible(tonight)
    if focused:
        mean_c, mean = _means(focused)
        level_variance = slope.scatter**2 / len(focused)
    else:
        mean_c = _mean([level[0] for level in slope.levels])
        levels = [at + slope.per_k * (mean_c - here_c) for here_c, at, _ in slope.levels]
        mean, level_variance = _mean(levels), _of_a_new_night(levels, slope.scatter)
    sigma = math.sqrt(level_variance + (slope.sigma_per_k * (celsius - mean_c)) ** 2)
    since_k = celsius - focused[-1][0] if focused else None
    position = mean + slope.per_k * (celsius - mean_c)
    return Suggested(position, sigma, celsius, since_k, slope.redo_after_k)


def _of_a_new_night(levels: Sequence[float], scatter: float) -> float:
    """Variance of a level not seen yet about the mean of those that were."""
    if len(levels) < 2:
        return scatter**2
    mean = _mean(levels)
    variance = sum((each - mean) ** 2 for each in levels) / (len(levels) - 1)
    return variance * (1.0 + 1.0 / len(levels))


def _means(night: Night) -> tuple[float, float]:
    return _mean([celsius for celsius, _ in night]), _mean([position for _, position in night])


def _mean(numbers: Sequence[float]) -> float:
    return sum(numbers) / len(numbers)


def _span_k(night: Night) -> float:
    celsius = [each for each, _ in night]
    return max(celsius) - min(celsius)


def _places(sigma: float) -> int:
    """Decimals worth showing."""
    return 0 if sigma >= 2 else 1 if sigma >= 0.2 else 2
