"""The sky behind the star: a sloping plane and its noise, from the picture's border."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.startest.picture.circles import spread

Pixels = NDArray[np.float32]
Array = NDArray[np.float64]

_BORDER = 0.08  # of the shorter side
_MOST = 20_000  # pixels that are enough for three numbers
_ROUNDS = 6


@dataclass(frozen=True)
class Sky:
    """level + across·x + down·y in units of the picture; `noise` of one pixel of it."""

    level: float
    across: float
    down: float
    noise: float

    def under(self, x: Array, y: Array) -> Array:
        """The sky at columns `x` and rows `y`."""
        return self.level + self.across * x + self.down * y


def sky_of(pixels: Pixels) -> Sky:
    """Plane through the border, bright pixels left out round by round."""
    rows, columns = _border(pixels.shape)
    values = pixels[rows, columns].astype(np.float64)
    design = np.column_stack([np.ones(rows.size), columns, rows]).astype(np.float64)
    keep = values <= np.percentile(values, 80)
    for _ in range(_ROUNDS):
        plane = np.linalg.lstsq(design[keep], values[keep], rcond=None)[0]
        left = values - design @ plane
        middle = float(np.median(left[keep]))
        scatter = spread(left[keep] - middle)
        keep = np.abs(left - middle) <= 3.0 * scatter + 1e-12
        if keep.sum() < 16:
            break
    return Sky(float(plane[0]) + middle, float(plane[1]), float(plane[2]), scatter)


def _border(shape: tuple[int, ...]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Rows and columns of the border's pixels, thinned evenly."""
    rows, columns = shape
    wide = max(2, round(_BORDER * min(rows, columns)))
    inside = np.zeros(shape, dtype=bool)
    inside[wide : rows - wide, wide : columns - wide] = True
    at_row, at_column = np.nonzero(~inside)
    step = max(1, at_row.size // _MOST)
    return at_row[::step], at_column[::step]
