"""How an object fills the frame."""

from dataclasses import dataclass

import numpy as np

from logbook.sky.night.arrays import Floats


@dataclass(frozen=True, slots=True)
class FieldOfView:
    """What a train shows of the sky: width and height in degrees, and what it is called."""

    name: str
    focal_length_mm: float
    image_scale_arcsec_px: float | None
    field_deg: tuple[float, float]


def frame_fill(major_arcmin: Floats | float, field_deg: tuple[float, float]) -> Floats:
    """The object's major axis over the short side of the field; NaN where its size is unknown.

    1 just fits in any direction; 0.03 fills 3 % of the short side.
    """
    return np.asarray(np.asarray(major_arcmin, dtype=np.float64) / 60.0 / min(field_deg))


# A frame is well filled from a third to three quarters. Common practice, no source: worth against
# fill, joined by straight lines in the logarithm of fill.
_SMALL_FILL = np.log([0.003, 0.01, 0.03, 0.1, 0.3])
_SMALL_WORTH = np.array([0.02, 0.15, 0.45, 0.75, 1.0])
_LARGE_FILL = np.log([0.75, 1.0, 1.5, 2.5, 5.0])
_LARGE_WORTH = np.array([1.0, 0.85, 0.40, 0.12, 0.02])


def tightest_fill(
    major_arcmin: Floats, minor_arcmin: Floats, field_deg: tuple[float, float]
) -> Floats:
    """How full the frame is with the long axis turned along its long side; over 1 does not fit.

    What has no minor axis is taken as round; NaN where the size is unknown.
    """
    minor = np.where(np.isnan(minor_arcmin), major_arcmin, minor_arcmin)
    return np.maximum(major_arcmin / 60.0 / max(field_deg), minor / 60.0 / min(field_deg))


def fill_worth(fill: Floats, tightest: Floats) -> Floats:
    """How well an object suits the frame, 0 to 1; NaN stays NaN.

    Too small is judged by `frame_fill`, too large by `tightest_fill`.
    """
    small = np.interp(np.log(np.maximum(fill, 1e-4)), _SMALL_FILL, _SMALL_WORTH)
    return np.asarray(
        small * np.interp(np.log(np.maximum(tightest, 1e-4)), _LARGE_FILL, _LARGE_WORTH)
    )
