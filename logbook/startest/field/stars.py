"""Stars of a focused frame and their shapes.

Found with SEP (Barbary 2016, JOSS 1, 58; after Bertin & Arnouts 1996, A&AS 117, 393); widths by
adaptive Gaussian moments (Bernstein & Jarvis 2002, AJ 123, 583, § 3.1): the weight is matched to
the star, so that faint wings and noise do not widen it.
"""

from dataclasses import dataclass

import numpy as np
import sep
from numpy.typing import NDArray

from logbook.startest.picture.picture import Pixels

Array = NDArray[np.float64]

_THRESHOLD = 6.0  # sigma of the sky
_LEAST_PIXELS = 5
_MOST_STARS = 600
_HALF_PX = 12  # half a star's stamp
_ROUNDS = 25
_FLAT = 0.985  # of a star's own height
_FLAT_PIXELS = 5
_NEAR_HIGHEST = 0.9  # of the frame's highest value
_APART_PX = 14.0
_LEAST_SNR = 20.0
FWHM_PER_SIGMA = 2.354820045


@dataclass(frozen=True)
class Stars:
    """One value for each star. Angle: direction of the long axis, from +x toward +row, 0…180."""

    x_px: Array
    y_px: Array
    fwhm_px: Array
    elongation: Array  # 1 − minor/major axis
    angle_deg: Array
    snr: Array

    def __len__(self) -> int:
        return int(self.x_px.size)


def field_stars(pixels: Pixels) -> Stars:
    """Single, unsaturated stars clear of the edge, brightest first."""
    frame = np.ascontiguousarray(pixels, dtype=np.float32)
    background = sep.Background(frame)
    light = frame - background.back()
    noise = float(background.globalrms)
    found = sep.extract(light, _THRESHOLD, err=noise, minarea=_LEAST_PIXELS)
    found = found[_usable(found, frame)]
    found = found[np.argsort(-found["flux"])][:_MOST_STARS]
    return _shapes(light, found["x"], found["y"], noise)


def _usable(found: NDArray[np.void], frame: Pixels) -> NDArray[np.bool_]:
    rows, columns = frame.shape
    x, y = found["x"], found["y"]
    inside = (x > _HALF_PX) & (x < columns - 1 - _HALF_PX)
    inside &= (y > _HALF_PX) & (y < rows - 1 - _HALF_PX)
    keep: NDArray[np.bool_] = inside & (found["flag"] == 0) & _alone(x, y)
    keep[keep] = ~_flat_topped(found[keep], frame)
    return keep


def _flat_topped(found: NDArray[np.void], frame: Pixels) -> NDArray[np.bool_]:
    """Saturated: several pixels at one height, near the highest of the frame."""
    steps = np.arange(-3, 4)
    rows = found["ypeak"][:, None, None] + steps[None, :, None]
    columns = found["xpeak"][:, None, None] + steps[None, None, :]
    top = frame[rows, columns]
    low, highest = float(np.median(frame[::7, ::7])), top.max(axis=(1, 2))
    at_top = (top - low >= _FLAT * (highest[:, None, None] - low)).sum(axis=(1, 2))
    saturated: NDArray[np.bool_] = (at_top >= _FLAT_PIXELS) & (
        highest - low >= _NEAR_HIGHEST * (float(frame.max()) - low)
    )
    return saturated


def _alone(x: Array, y: Array) -> NDArray[np.bool_]:
    """No other detection within reach of the stamp's middle."""
    from scipy.spatial import cKDTree

    if x.size < 2:
        return np.ones(x.size, dtype=bool)
    nearest = cKDTree(np.column_stack([x, y])).query(np.column_stack([x, y]), k=2)[0][:, 1]
    alone: NDArray[np.bool_] = nearest > _APART_PX
    return alone


def _shapes(light: Pixels, x: Array, y: Array, noise: float) -> Stars:
    """Adaptive moments of all stars at once; those that do not settle are left out."""
    steps = np.arange(-_HALF_PX, _HALF_PX + 1)
    columns = np.round(x).astype(int)[:, None, None] + steps[None, None, :]
    rows = np.round(y).astype(int)[:, None, None] + steps[None, :, None]
    stamps = light[rows, columns].astype(np.float64)
    here_x, here_y = x.astype(np.float64), y.astype(np.float64)
    matrix = np.tile(np.eye(2) * 2.5, (x.size, 1, 1))
    flux = np.ones(x.size)
    for _ in range(_ROUNDS):
        dx, dy = columns - here_x[:, None, None], rows - here_y[:, None, None]
        weight = _gaussian(matrix, dx, dy) * stamps
        flux = np.maximum(weight.sum(axis=(1, 2)), 1e-9)
        shift_x, shift_y = ((weight * d).sum(axis=(1, 2)) / flux for d in (dx, dy))
        here_x, here_y = here_x + np.clip(shift_x, -1, 1), here_y + np.clip(shift_y, -1, 1)
        seen = _moments(weight, dx - shift_x[:, None, None], dy - shift_y[:, None, None], flux)
        matrix = _unweighted(seen, matrix)
    return _as_stars(here_x, here_y, matrix, flux, noise)


def _gaussian(matrix: Array, dx: Array, dy: Array) -> Array:
    inverse = np.linalg.inv(matrix)
    a, b, c = (inverse[:, i, j, None, None] for i, j in ((0, 0), (0, 1), (1, 1)))
    found: Array = np.exp(-0.5 * np.minimum(a * dx**2 + 2.0 * b * dx * dy + c * dy**2, 60.0))
    return found


def _moments(weight: Array, dx: Array, dy: Array, flux: Array) -> Array:
    xx, xy, yy = (
        (weight * product).sum(axis=(1, 2)) / flux for product in (dx * dx, dx * dy, dy * dy)
    )
    return np.stack([np.stack([xx, xy], -1), np.stack([xy, yy], -1)], -2)


def _unweighted(seen: Array, weight: Array) -> Array:
    """A Gaussian C seen through a Gaussian weight W has (C⁻¹ + W⁻¹)⁻¹; held within 0.5 … 8 px."""
    seen = _bounded(seen, 0.05, 64.0)
    inverse = (np.linalg.inv(seen) - np.linalg.inv(weight)).astype(np.float64)
    own = np.linalg.inv(_bounded(inverse, 1.0 / 64.0, 4.0))
    return _bounded(own.astype(np.float64), 0.25, 64.0)


def _bounded(matrix: Array, low: float, high: float) -> Array:
    values, vectors = np.linalg.eigh(matrix)
    kept = np.clip(values, low, high)
    found: Array = np.einsum("nij,nj,nkj->nik", vectors, kept, vectors)
    return found


def _as_stars(x: Array, y: Array, matrix: Array, flux: Array, noise: float) -> Stars:
    # A pixel averages over its square, which adds 1/12 px² to each variance.
    values, vectors = np.linalg.eigh(matrix - np.eye(2) / 12.0)
    values = np.maximum(values, 1e-3)
    minor, major = np.sqrt(values[:, 0]), np.sqrt(values[:, 1])
    angle = np.degrees(np.arctan2(vectors[:, 1, 1], vectors[:, 0, 1])) % 180.0
    area = np.pi * np.sqrt(np.linalg.det(matrix)) * 2.0
    snr = flux / (max(noise, 1e-9) * np.sqrt(np.maximum(area, 1.0)))
    fwhm = FWHM_PER_SIGMA * np.sqrt(minor * major)
    settled = (minor > 0.3) & (major < 7.5) & (snr > _LEAST_SNR)
    return Stars(
        x[settled], y[settled], fwhm[settled], (1.0 - minor / major)[settled], angle[settled],
        snr[settled],
    )  # fmt: skip
