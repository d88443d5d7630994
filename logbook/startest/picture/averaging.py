"""Several pictures of one setting: their mean, and how far it can be trusted."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, median

from logbook.errors import BadInput
from logbook.startest.result import RADIUS_95, StarMeasure

_SAME_DISC = 0.10  # the offset in radii goes as 1/defocus: other radii are another setting
_OUTLIER = 4.0  # standard errors from the median
# A few pictures show their scatter badly, and what all of them share not at all.
_SCATTER_FROM = 3
_SHARED = 0.004  # of the disc's radius


@dataclass(frozen=True, slots=True)
class Averaged:
    """Offset in radii of the disc; `offset_sigma` is the standard error along each axis."""

    offset_x: float
    offset_y: float
    offset_sigma: float
    radius_px: float
    used: int
    of: int
    notes: tuple[str, ...] = ()

    @property
    def offset_fraction(self) -> float:
        """Length of the offset."""
        return math.hypot(self.offset_x, self.offset_y)

    @property
    def position_angle_deg(self) -> float:
        """From +x toward +row."""
        return math.degrees(math.atan2(self.offset_y, self.offset_x)) % 360.0

    @property
    def radius_95(self) -> float:
        """Radius round the offset that holds the truth 95 times in 100."""
        return RADIUS_95 * self.offset_sigma


def average(measures: Sequence[StarMeasure]) -> Averaged:
    """Mean offset, each picture weighted by its certainty, outliers left out and counted.

    Raises BadInput when none is measured or their discs differ by more than 10 %.
    """
    good = [each for each in measures if each.ok and each.disc and each.offset_sigma]
    if not good:
        raise BadInput("none of the pictures was measured: take them again")
    radii = [each.disc.radius_px for each in good if each.disc]
    middle = median(radii)
    if max(radii) > (1.0 + _SAME_DISC) * middle or min(radii) < (1.0 - _SAME_DISC) * middle:
        raise BadInput(
            f"the discs run from {min(radii):.0f} to {max(radii):.0f} pixels:"
            " average only pictures of one defocus"
        )
    kept = _without_outliers(good)
    weights = [1.0 / (each.offset_sigma or 1.0) ** 2 for each in kept]
    x = _weighted([each.offset_x for each in kept], weights)
    y = _weighted([each.offset_y for each in kept], weights)
    notes = _left_out(len(good) - len(kept)) + _left_refused(len(measures) - len(good))
    sigma = math.hypot(_own_sigma(kept, x, y, weights), _SHARED if len(kept) > 1 else 0.0)
    return Averaged(x, y, sigma, fmean(radii), len(kept), len(measures), notes)


def _weighted(values: Sequence[float], weights: Sequence[float]) -> float:
    return sum(v * w for v, w in zip(values, weights, strict=True)) / sum(weights)


def _without_outliers(good: list[StarMeasure]) -> list[StarMeasure]:
    """With four or more, those near the median; of fewer none can be called the outlier."""
    if len(good) < 4:
        return good
    x, y = median(each.offset_x for each in good), median(each.offset_y for each in good)
    away = [math.hypot(each.offset_x - x, each.offset_y - y) for each in good]
    usual = max(median(away), median(each.offset_sigma or 0.0 for each in good))
    return [each for each, far in zip(good, away, strict=True) if far <= _OUTLIER * usual]


def _own_sigma(kept: Sequence[StarMeasure], x: float, y: float, weights: Sequence[float]) -> float:
    """Of the mean: what the pictures say of themselves, or their scatter if that is larger."""
    stated = math.sqrt(1.0 / sum(weights))
    if len(kept) < _SCATTER_FROM:
        return stated
    squares = sum((each.offset_x - x) ** 2 + (each.offset_y - y) ** 2 for each in kept)
    scatter = math.sqrt(squares / (2.0 * (len(kept) - 1)) / len(kept))
    return max(scatter, 0.7 * stated)


def _left_out(count: int) -> tuple[str, ...]:
    return (f"{count} far from the others left out",) if count else ()


def _left_refused(count: int) -> tuple[str, ...]:
    return (f"{count} refused",) if count else ()
