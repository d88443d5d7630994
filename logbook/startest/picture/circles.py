"""Circles through points that may lie: robust fits.

Tukey's biweight, iteratively reweighted. Source: Beaton & Tukey 1974, Technometrics 16, 147. The
usual constant is 4.685; turbulence moves whole arcs of an edge, which are no strays, so that 7
measures better here.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_TUKEY = 7.0
_ROUNDS = 8


@dataclass(frozen=True)
class Fit:
    """A circle, the radial residual of each point (nan where there is none) and its weight."""

    x: float
    y: float
    radius: float
    residuals: Array
    weights: Array

    @property
    def scatter(self) -> float:
        """Robust standard deviation of the residuals, in pixels."""
        return spread(self.residuals[np.isfinite(self.residuals)])

    def wave(self, turns: int) -> tuple[float, float]:
        """Cosine and sine of the wave with so many turns in the residuals, in pixels.

        The points are taken to stand at even angles, as rays do.
        """
        there = np.isfinite(self.residuals) & (self.weights > 0.0)
        angles = (np.arange(there.size) * (2.0 * np.pi / there.size * turns))[there]
        design = np.column_stack([np.cos(angles), np.sin(angles)])
        found = np.linalg.lstsq(design, self.residuals[there], rcond=None)[0]
        return float(found[0]), float(found[1])


def spread(values: Array) -> float:
    """Standard deviation by the median of absolute values (1.4826 of it for a Gaussian)."""
    return float(1.4826 * np.median(np.abs(values))) if values.size else float("inf")


def fit_circle(x: Array, y: Array, weights: Array | None = None) -> Fit:
    """The circle through points; points that are nan are left out.

    Gauss–Newton on the radial distance: a shift of the centre by (a, b) changes the distance of a
    point seen at angle φ by −a·cos φ − b·sin φ. `weights` are those the points begin with.
    """
    there = np.isfinite(x) & np.isfinite(y)
    base = np.where(there, 1.0 if weights is None else weights, 0.0)
    at_x, at_y = np.where(there, x, 0.0), np.where(there, y, 0.0)
    centre_x, centre_y = np.median(at_x[there]), np.median(at_y[there])
    radius = float(np.median(np.hypot(at_x[there] - centre_x, at_y[there] - centre_y)))
    now = base
    for _ in range(_ROUNDS):
        dx, dy = at_x - centre_x, at_y - centre_y
        distance = np.hypot(dx, dy) + 1e-9
        design = np.stack([dx / distance, dy / distance, np.ones_like(dx)])
        step = np.linalg.lstsq((design * now) @ design.T, (design * now) @ (distance - radius))[0]
        centre_x, centre_y, radius = centre_x + step[0], centre_y + step[1], radius + step[2]
        residuals = np.hypot(at_x - centre_x, at_y - centre_y) - radius
        now = base * biweight(residuals, spread(residuals[there]))
    return Fit(
        float(centre_x), float(centre_y), float(radius), np.where(there, residuals, np.nan), now
    )


def biweight(residuals: Array, scale: float) -> Array:
    """Tukey's weight: 1 in the middle, 0 beyond 7 scales."""
    share = residuals / (_TUKEY * max(scale, 1e-9))
    return np.where(np.abs(share) < 1.0, (1.0 - share**2) ** 2, 0.0)
