"""How sure a single picture is: standard error of the offset, and its quality.

Turbulence moves whole arcs of the edges, so neighbouring rays err alike and the scatter over the
square root of their number says far too little. The waves round the edges that no circle can
follow (two to six a turn) show how strong the moving is; the wave that looks like a shift (one a
turn) is of the same kind.
"""

import numpy as np

from logbook.startest.circles import Fit
from logbook.startest.edges import RAYS
from logbook.startest.ring import Ring

_WAVES = (2, 3, 4, 5, 6)
_FLOOR = 0.005  # of the disc's radius
_GAIN = 1.0


def waviness(fit: Fit) -> float:
    """Root mean square amplitude of the waves round an edge, in pixels."""
    there = np.isfinite(fit.residuals) & (fit.weights > 0.0)
    angles = np.arange(RAYS)[there] * (2.0 * np.pi / RAYS)
    turns = [wave(n * angles) for n in _WAVES for wave in (np.cos, np.sin)]
    design = np.stack(turns, axis=1)
    found = np.linalg.lstsq(design, fit.residuals[there], rcond=None)[0]
    return float(np.sqrt((found**2).mean()))


def offset_sigma(ring: Ring) -> float:
    """Standard error of the offset along each axis, in radii of the disc."""
    moved = np.hypot(waviness(ring.disc), waviness(ring.shadow)) / ring.disc.radius
    return float(np.hypot(_GAIN * moved, _FLOOR))


def quality(ring: Ring, sigma: float) -> float:
    """0 … 1: halves with each 0.012 of standard error, and falls with edges not found."""
    return float(np.clip(2.0 ** (-(sigma - _FLOOR) / 0.012) * ring.found, 0.0, 1.0))
