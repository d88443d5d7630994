"""Find the defocused star in a whole picture, on a shrunk copy of it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from logbook.startest.picture.sky_plane import Sky, sky_of

Pixels = NDArray[np.float32]
Array = NDArray[np.float64]

_SHRUNK_TO = 512  # px of the longer side
_SIGMA = 8.0  # a star stands this far above the noise of the smoothed, shrunk sky
_OF_PLATEAU = 0.3
_PLATEAU_PERCENTILE = 90
_REACH = 1.9  # radii to each side that are cut out
_CUT_RADIUS_PX = 90  # discs of twice this are shrunk: their edges are soft over many pixels
_SPOT = 0.5  # of the plateau: what a lone hot pixel stands out by
_LEAST_SPOT = 0.15  # the same in a shrunk cut, which spreads it


@dataclass(frozen=True)
class Blob:
    """A bright patch, filled, in pixels of the whole picture."""

    x_px: float
    y_px: float
    radius_px: float  # of a disc of the same area
    flux: float
    touches_border: bool


@dataclass(frozen=True)
class Found:
    """Patches by falling flux, the sky, and the brightness of the plateau above it."""

    blobs: tuple[Blob, ...]
    sky: Sky
    plateau: float


@dataclass(frozen=True)
class Cut:
    """The star cut out, above the sky. Its pixel (x, y) is x0 + shrink·x, y0 + shrink·y."""

    light: Array
    x0_px: float
    y0_px: float
    shrink: int


def shrunk(pixels: Pixels, factor: int) -> Pixels:
    """Means of squares of `factor` pixels; what is left over at the right and below is cut."""
    if factor <= 1:
        return pixels
    rows, columns = (side // factor for side in pixels.shape)
    kept = pixels[: rows * factor, : columns * factor]
    down = np.add.reduceat(kept, np.arange(0, rows * factor, factor), axis=0)
    total = down.reshape(rows, columns, factor).sum(axis=2)
    means: Pixels = (total / np.float32(factor * factor)).astype(np.float32)
    return means


def find(pixels: Pixels) -> Found:
    """Bright patches of the picture; none where nothing stands above the sky."""
    shrink = max(1, -(-max(pixels.shape) // _SHRUNK_TO))
    small = ndimage.median_filter(shrunk(pixels, shrink), size=3, mode="nearest")
    small = ndimage.uniform_filter(small, 3, mode="nearest")
    sky = sky_of(small)
    rows, columns = np.indices(small.shape, sparse=True)
    light = small - sky.under(columns, rows)
    level = _SIGMA * max(sky.noise, 1e-9)
    bright = light > level
    if not bright.any():
        return Found((), _unshrunk(sky, shrink), 0.0)
    plateau = float(np.percentile(light[bright], _PLATEAU_PERCENTILE))
    blobs = _blobs(light, max(level, _OF_PLATEAU * plateau), shrink)
    return Found(blobs, _unshrunk(sky, shrink), plateau)


def _unshrunk(sky: Sky, shrink: int) -> Sky:
    """The plane in columns and rows of the whole picture."""
    middle = (shrink - 1) / 2.0
    across, down = sky.across / shrink, sky.down / shrink
    return Sky(sky.level - middle * (across + down), across, down, sky.noise)


def _blobs(light: Array, level: float, shrink: int) -> tuple[Blob, ...]:
    filled = ndimage.binary_fill_holes(closed(light > level, 2))
    labels, _ = ndimage.label(filled)
    found = [
        _blob(light, labels, box, number, shrink)
        for number, box in enumerate(ndimage.find_objects(labels), start=1)
    ]
    return tuple(sorted(found, key=lambda each: -each.flux))[:20]


def closed(mask: NDArray[np.bool_], steps: int) -> NDArray[np.bool_]:
    """Small gaps closed, also at the border."""
    wide = ndimage.binary_closing(np.pad(mask, steps), iterations=steps)
    found: NDArray[np.bool_] = wide[steps:-steps, steps:-steps] | mask
    return found


def _blob(
    light: Array, labels: NDArray[np.int32], box: tuple[slice, slice], number: int, shrink: int
) -> Blob:
    inside = labels[box] == number
    rows, columns = np.nonzero(inside)
    top, left = box[0].start, box[1].start
    middle = (shrink - 1) / 2.0
    high, wide = labels.shape
    return Blob(
        x_px=(left + float(columns.mean())) * shrink + middle,
        y_px=(top + float(rows.mean())) * shrink + middle,
        radius_px=float(np.sqrt(rows.size / np.pi)) * shrink,
        flux=float(light[box][inside].sum()) * shrink**2,
        touches_border=min(top, left) <= 1 or box[0].stop >= high - 1 or box[1].stop >= wide - 1,
    )


def cut_out(pixels: Pixels, found: Found, blob: Blob) -> Cut:
    """The neighbourhood of a patch without the sky, lone hot pixels mended, shrunk if large."""
    reach = _REACH * blob.radius_px + 8.0
    left, top = max(0, int(blob.x_px - reach)), max(0, int(blob.y_px - reach))
    part = pixels[top : int(blob.y_px + reach) + 2, left : int(blob.x_px + reach) + 2]
    shrink = max(1, int(blob.radius_px / _CUT_RADIUS_PX))
    spot = max(_SPOT / shrink**2, _LEAST_SPOT) * found.plateau
    part = _unspotted(shrunk(part, shrink), spot)
    middle = (shrink - 1) / 2.0
    rows = np.arange(part.shape[0], dtype=np.float64)[:, None]
    columns = np.arange(part.shape[1], dtype=np.float64)[None, :]
    x0, y0 = left + middle, top + middle
    light = part - found.sky.under(x0 + shrink * columns, y0 + shrink * rows)
    return Cut(light, x0, y0, shrink)


def _unspotted(pixels: Pixels, limit: float) -> Pixels:
    """Pixels that stand out of their neighbours' median by more than `limit` take it."""
    middle = ndimage.median_filter(pixels, size=3, mode="nearest")
    return np.where(np.abs(pixels - middle) > limit, middle, pixels)
