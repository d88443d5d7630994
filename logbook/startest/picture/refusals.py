"""When a picture is refused, in this order, each with what to do about it.

The limits were set on simulated pictures (see `certainty.py`), each between what good ones show at
most and bad ones at least.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from logbook.startest.picture.circles import spread
from logbook.startest.picture.find_star import Blob, Found
from logbook.startest.picture.picture import Picture, Pixels
from logbook.startest.picture.ring import Ring, Shape, light_beside

_SATURATED_SHARE = 0.025
_TOP = 0.01  # of the range: what counts as being at the top
_FULL_SCALES = (1.0, 255.0, 4095.0, 16383.0, 65535.0)
_OF_FULL_SCALE = 0.9
_LEAST_PILE = 9  # pixels of a window in which a pile can be seen
_COMPANION = 0.15  # of flux, and of area
_NEAR_FOCUS_PX = 10.0
_NEAR_FOCUS_NO_HOLE_PX = 16.0
_LEAST_SHADOW = 0.17  # of the disc's radius
_MOST_FLATTENING = 0.11
_NO_HOLE_FLATTENING = 0.06  # a trail fills the hole before it shows as length
_MOST_SCATTER = 0.055  # of the disc's radius
_MOST_SHADOW_SCATTER = 0.05
_MOST_TRAIL = 0.022  # of the disc's radius
_TRAIL_ALIKE = 0.6
_SECOND_HOLE = 0.3
_LEAST_FOUND = 0.6
_MOST_BESIDE = 0.09  # of the ring's brightness

Array = NDArray[np.float64]


class Doubt(NamedTuple):
    """Why a picture is refused: one of REFUSALS, and a sentence that says what to do."""

    refusal: str
    reason: str


NO_STAR = Doubt(
    "no star",
    "no star stands out of the sky: centre a bright one (magnitude 1 to 3), expose longer",
)
CUT = Doubt("cut", "the disc is cut by the picture's edge: centre the star and take it again")
NEAR = Doubt(
    "near focus",
    "too near focus: defocus until the disc is 60 pixels wide or more, 8 to 12 waves",
)
NO_SHADOW = Doubt(
    "no shadow",
    "no shadow in the disc: defocus a little more; if it stays away, wait for steadier air",
)
OVERLAP = Doubt(
    "several",
    "another star's disc overlaps: choose one that stands alone, or defocus a little less",
)
DOUBLE = Doubt(
    "trailed or double",
    "the ring is drawn out or double: check tracking and wind, choose a single star,"
    " expose shorter",
)


def whole_picture(picture: Picture, found: Found) -> Doubt | None:
    """No star, saturated, several, cut: what the whole picture shows."""
    if not found.blobs:
        return NO_STAR
    star = found.blobs[0]
    share = saturated_share(picture, star)
    if share > _SATURATED_SHARE:
        return Doubt(
            "saturated",
            f"{100 * share:.0f} % of the disc is at full brightness: expose shorter,"
            " highest level 30 to 60 % of full scale",
        )
    others = [each for each in found.blobs[1:] if _rivals(each, star)]
    if others:
        return Doubt(
            "several",
            f"{len(others) + 1} stars of like brightness: choose one that stands alone, or crop",
        )
    return CUT if star.touches_border else None


def _rivals(other: Blob, star: Blob) -> bool:
    area = (other.radius_px / star.radius_px) ** 2
    return other.flux > _COMPANION * star.flux and area > _COMPANION


def saturated_share(picture: Picture, star: Blob) -> float:
    """Share of the disc's pixels that are piled up at the highest value."""
    reach = star.radius_px
    window = (
        slice(max(0, int(star.y_px - reach)), int(star.y_px + reach) + 1),
        slice(max(0, int(star.x_px - reach)), int(star.x_px + reach) + 1),
    )
    known = 0.0 if picture.clipped is None else float(picture.clipped[window].mean())
    piled = _piled_up(picture.pixels[window], picture.step, _pixel_noise(picture.pixels))
    return max(known, piled) * 4.0 / np.pi


def _pixel_noise(pixels: Pixels) -> float:
    """Standard deviation of one pixel, from the differences of neighbours all over the picture."""
    rows = pixels[:: max(1, pixels.shape[0] // 100)]
    return spread(np.diff(rows, axis=1).astype(np.float64)) / float(np.sqrt(2.0))


def _piled_up(values: Pixels, step: float, noise: float) -> float:
    """Share at the top, if it is a pile: more than three times what lies just under it.

    An even ring with noise looks like a pile too; a clipped one has less noise at the top than the
    sky, or its top is a converter's full scale. Where nearly all is of one value, all of that is
    the pile; a few pixels are too few to judge by.
    """
    if values.size < _LEAST_PILE:
        return 0.0
    top, low = float(values.max()), float(np.percentile(values, 5.0))
    band = max(_TOP * (top - low), 0.5 * step)
    is_high = (values > top - band) | (values == top)
    high = values[is_high]
    at_top = high.size / values.size
    under = float((~is_high & (values > top - 3.0 * max(band, step))).mean())
    clipped = float(np.median(top - high)) < 0.5 * noise or _is_full_scale(top)
    return at_top if clipped and at_top > 3.0 * under else 0.0


def _is_full_scale(top: float) -> bool:
    return any(_OF_FULL_SCALE * full <= top <= full for full in _FULL_SCALES)


def first_shape(shape: Shape, shrink: int) -> Doubt | None:
    """Near focus or without a shadow, by the patch and its hole."""
    radius_px = shape.radius * shrink
    if radius_px < _NEAR_FOCUS_PX or (shape.hole is None and radius_px < _NEAR_FOCUS_NO_HOLE_PX):
        return NEAR
    if shape.hole is None or shape.hole[2] < 0.5 * _LEAST_SHADOW * shape.radius:
        return DOUBLE if shape.flattening > _NO_HOLE_FLATTENING else NO_SHADOW
    return None


def no_ring(shape: Shape) -> Doubt:
    """Where no two circles could be fitted."""
    return DOUBLE if shape.flattening > _MOST_FLATTENING else NO_SHADOW


def fitted_ring(shape: Shape, ring: Ring, light: Array) -> Doubt | None:
    """Cut, no shadow, trailed or double, or another star's light, by the two circles in `light`."""
    disc, shadow = ring.disc, ring.shadow
    rows, columns = light.shape
    nearest = min(disc.x, disc.y, columns - 1 - disc.x, rows - 1 - disc.y)
    if nearest < disc.radius:
        return CUT
    if shadow.radius < _LEAST_SHADOW * disc.radius:
        return no_ring(shape)
    drawn_out = (
        shape.flattening > _MOST_FLATTENING
        or disc.scatter > _MOST_SCATTER * disc.radius
        or shadow.scatter > _MOST_SHADOW_SCATTER * disc.radius
        or shape.second_hole > _SECOND_HOLE
        or ring.found < _LEAST_FOUND
        or _trailed(ring)
    )
    if drawn_out:
        return DOUBLE
    return OVERLAP if light_beside(light, ring) > _MOST_BESIDE else None


def _trailed(ring: Ring) -> bool:
    """A trail makes the disc longer and the shadow shorter along one line; astigmatism does not."""
    disc = np.array(ring.disc.wave(2)) / ring.disc.radius
    shadow = np.array(ring.shadow.wave(2)) / ring.disc.radius
    length = float(np.hypot(*(disc - shadow))) / 2.0
    alike = -float(disc @ shadow) / max(float(np.hypot(*disc) * np.hypot(*shadow)), 1e-12)
    return length > _MOST_TRAIL and alike > _TRAIL_ALIKE
