"""How far off a fitted number may be, from few readings."""

import math
from dataclasses import dataclass
from statistics import NormalDist


@dataclass(frozen=True, slots=True)
class NotLearned:
    """Why readings teach nothing yet, in words for the user."""

    words: str


def student_t(degrees: int, level: float = 0.975) -> float:
    """Quantile of Student's t: how many standard errors an interval reaches to either side.

    degrees -- of freedom, 1 or more; 0.975 gives the interval that holds 95 %. Exact for one and
    two, else the expansion of Abramowitz & Stegun 1964, 26.7.5 (0.3 % at three, less above).
    Raises ValueError below one degree of freedom.
    """
    if degrees < 1:
        raise ValueError(f"no interval from {degrees} degrees of freedom")
    if degrees == 1:
        return math.tan(math.pi * (level - 0.5))
    if degrees == 2:
        return (2.0 * level - 1.0) * math.sqrt(2.0 / (4.0 * level * (1.0 - level)))
    x = NormalDist().inv_cdf(level)
    terms = (
        (x**3 + x) / 4.0,
        (5.0 * x**5 + 16.0 * x**3 + 3.0 * x) / 96.0,
        (3.0 * x**7 + 19.0 * x**5 + 17.0 * x**3 - 15.0 * x) / 384.0,
        (79.0 * x**9 + 776.0 * x**7 + 1482.0 * x**5 - 1920.0 * x**3 - 945.0 * x) / 92160.0,
    )
    return float(x + sum(term / degrees**power for power, term in enumerate(terms, start=1)))
