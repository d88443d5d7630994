"""Where light begins and ends along rays from a centre.

The geometric edge of a shadow lies at a quarter of the bright level on a Fresnel edge (Born & Wolf,
Principles of Optics, § 8.7.3) and at a half when blurred widely; seeing puts it between.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from logbook.startest.picture.circles import biweight, spread

Array = NDArray[np.float64]

RAYS = 240
_STEP = 0.5  # px along a ray


def rays(pixels: Array, x: float, y: float, longest: float) -> tuple[Array, Array, Array]:
    """Angles, distances and brightness along rays from (x, y), row by row; outside is 0."""
    angles: Array = np.arange(RAYS, dtype=np.float64) * (2.0 * np.pi / RAYS)
    distances: Array = np.arange(0.0, longest, _STEP, dtype=np.float64)
    at_x = x + np.outer(np.cos(angles), distances)
    at_y = y + np.outer(np.sin(angles), distances)
    light: Array = ndimage.map_coordinates(pixels, [at_y, at_x], order=1, mode="constant", cval=0.0)
    return angles, distances, light


def crossing(
    light: Array, distances: Array, levels: Array, starts: Array, *, outward: bool
) -> Array:
    """Distance at which each ray first falls below its level, going from `starts` out or in.

    Between two samples by straight line; nan where it never falls.
    """
    order = slice(None) if outward else slice(None, None, -1)
    along, below = distances[order], (light < levels[:, None])[:, order]
    beyond = (along >= starts[:, None]) if outward else (along <= starts[:, None])
    below &= beyond
    found = below.any(axis=1)
    at = np.clip(below.argmax(axis=1), 1, None)
    row = np.arange(light.shape[0])
    shown = light[:, order]
    dark, bright = shown[row, at], shown[row, at - 1]
    share = (bright - levels) / np.where(bright > dark, bright - dark, 1.0)
    edge = along[at - 1] + np.clip(share, 0.0, 1.0) * (along[at] - along[at - 1])
    return np.where(found, edge, np.nan)


def mean_crossing(
    light: Array, distances: Array, levels: Array, starts: Array, *, outward: bool
) -> Array:
    """Mean of the crossings of several levels, one row of `levels` each; nan where none is met."""
    found = np.stack([crossing(light, distances, each, starts, outward=outward) for each in levels])
    met = np.isfinite(found).sum(axis=0)
    total = np.nansum(found, axis=0)
    return np.where(met > 0, total / np.maximum(met, 1), np.nan)


def one_wave(values: Array, angles: Array) -> Array:
    """A constant and one wave a turn through values round a circle, strays left out.

    Coma makes the ring brighter on one side; what varies faster is turbulence and vanes.
    """
    design = np.column_stack([np.ones_like(angles), np.cos(angles), np.sin(angles)])
    weights = np.ones_like(values)
    for _ in range(4):
        found = np.linalg.solve((design.T * weights) @ design, (design.T * weights) @ values)
        left = values - design @ found
        weights = biweight(left, spread(left))
    even: Array = np.maximum(design @ found, 0.2 * np.median(values))
    return even


def bright_levels(light: Array, distances: Array, inner: Array, outer: Array) -> Array:
    """Mean brightness of each ray between two distances."""
    inside = (distances >= inner[:, None]) & (distances <= outer[:, None])
    found: Array = (light * inside).sum(axis=1) / np.maximum(inside.sum(axis=1), 1)
    return found
