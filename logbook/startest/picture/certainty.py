"""How sure a single picture is: standard error of the offset, and its quality.

Turbulence moves whole arcs of the edges, so neighbouring rays err alike, and the scatter over the
square root of their number says several times too little. The shadow's edge, the shorter one, shows
more than the disc's. Both numbers were set on 240 simulated pictures (prysm; seeing 0.8 to 3
arcseconds, 6 to 20 waves) and hold on others; see the tests.
"""

import numpy as np

from logbook.startest.picture.ring import Ring

_FLOOR = 0.0058  # of the disc's radius
_OF_SCATTER = 0.72
_FOUND_LEAST = 0.6
_HALVES_EVERY = 0.012


def offset_sigma(ring: Ring) -> float:
    """Standard error of the offset along each axis, in radii of the disc."""
    scatter = ring.shadow.scatter / ring.disc.radius
    return float(np.hypot(_OF_SCATTER * scatter, _FLOOR)) / max(ring.found, _FOUND_LEAST)


def quality(ring: Ring, sigma: float) -> float:
    """0 … 1: halves with each 0.012 of standard error, and falls with edges not found."""
    return float(np.clip(2.0 ** (-(sigma - _FLOOR) / _HALVES_EVERY) * ring.found, 0.0, 1.0))
