"""The telescope's own cooling constant, from the constants of several nights."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from logbook.kit.thermal.uncertainty import NotLearned, student_t

NIGHTS_WANTED = 3
_TWO_SIDED_95 = 1.96  # standard errors that hold 95 % of a normal distribution
# One standard error of taking a body as warm alike throughout, though glass is warmer inside: the
# same in every night, so that no number of nights averages it out. Held against plates calculated
# in layers, in tests/kit/thermal/test_outside_models.py.
BODIES = {"mirror": "mirror_temperature_c", "tube": "tube_temperature_c"}  # and their readings
FEWEST_READINGS = 4  # of the body, for a fit
LUMPED = 0.01


@dataclass(frozen=True, slots=True)
class TubeConstant:
    """Minutes in which the difference falls to 37 %; low and high bound 95 % of its mean.

    between_percent -- how much the nights differ from each other beyond what their readings'
    scatter explains: a fan, wind, a cover left on.
    """

    tau_min: float
    low_min: float
    high_min: float
    between_percent: float
    nights: int

    @property
    def words(self) -> str:
        """The constant with what it rests on."""
        return (
            f"own constant {self.tau_min:.0f} min ({self.low_min:.0f} to {self.high_min:.0f}) "
            f"from {self.nights} nights, which differ by {self.between_percent:.0f} %"
        )


def tube_constant(nights: Sequence[tuple[float, float]]) -> TubeConstant | NotLearned:
    """Mean over nights of (tau, one standard error), both in minutes; for three nights and more.

    Weighted in logarithms, by each night's error and the scatter between nights (DerSimonian &
    Laird 1986, Controlled Clinical Trials 7, 177); the interval of the mean is that of Hartung &
    Knapp 2001 (Statistics in Medicine 20, 3875), which holds for few nights.
    """
    if len(nights) < NIGHTS_WANTED:
        have = len(nights) or "none"
        return NotLearned(f"{NIGHTS_WANTED} nights of cooling make the tube's own; {have} so far")
    logs = [math.log(tau) for tau, _ in nights]
    within = [max(sigma / tau, 1e-4) ** 2 for tau, sigma in nights]
    between = _between(logs, within)
    weights = [1.0 / (each + between) for each in within]
    mean = _mean(logs, weights)
    spread = sum(w * (each - mean) ** 2 for w, each in zip(weights, logs, strict=True))
    left = len(nights) - 1
    # No narrower than the nights' own errors make it (Knapp & Hartung 2003).
    error = math.sqrt(max(spread / left, 1.0) / sum(weights))
    reach = math.hypot(student_t(left) * error, _TWO_SIDED_95 * LUMPED)
    return TubeConstant(
        tau_min=math.exp(mean),
        low_min=math.exp(mean - reach),
        high_min=math.exp(mean + reach),
        between_percent=100.0 * math.sqrt(between),
        nights=len(nights),
    )


def _between(logs: Sequence[float], within: Sequence[float]) -> float:
    """Variance between nights that their own errors do not explain; 0 if they explain all."""
    weights = [1.0 / each for each in within]
    mean = _mean(logs, weights)
    spread = sum(w * (each - mean) ** 2 for w, each in zip(weights, logs, strict=True))
    total = sum(weights)
    share = total - sum(w * w for w in weights) / total
    return max(0.0, (spread - (len(logs) - 1)) / share)


def _mean(numbers: Sequence[float], weights: Sequence[float]) -> float:
    return sum(w * each for w, each in zip(weights, numbers, strict=True)) / sum(weights)
