"""One picture from a file, read within bounds: what is too big, cut off or no picture is refused.

The header is looked at before any pixel. Pixels stay as stored: a phone's note that its picture
should be shown turned is reported and not followed, because the sensor sits in the telescope.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from logbook.errors import BadInput
from logbook.startest.result import Facts
from logbook.text import clean

Pixels = NDArray[np.float32]

MOST_PIXELS = 64_000_000
MOST_BYTES = 800_000_000
LEAST_SIDE_PX = 24
FITS_SUFFIXES = (".fits", ".fit", ".fts", ".fits.fz", ".fits.gz", ".fit.gz")
IMAGE_SUFFIXES = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
PICTURE_SUFFIXES = FITS_SUFFIXES + IMAGE_SUFFIXES
_MOST_BAD_SHARE = 0.05
_ABSURD = 1e30  # no brightness; sums of such values overflow


class PictureRefused(BadInput):
    """The file is no picture that can be measured. The message says what to do."""


@dataclass(frozen=True)
class Picture:
    """Brightness as stored, row 0 first; `clipped` marks pixels known to be at full scale.

    `step` is the distance of neighbouring values of the file (0 where they are not counted).
    """

    pixels: Pixels
    facts: Facts
    step: float = 0.0
    clipped: NDArray[np.bool_] | None = None
    notes: tuple[str, ...] = ()


def is_picture_name(name: str) -> bool:
    """Whether a file of that name may be a picture, judged by its ending."""
    return name.casefold().endswith(PICTURE_SUFFIXES)


def shown_name(path: Path) -> str:
    """The file's name alone, as harmless text."""
    return clean(path.name, longest=120) or "?"


def check_size(name: str, width_px: int, height_px: int, planes: int = 1) -> None:
    """Refuse before pixels are read. Raises PictureRefused."""
    if width_px * height_px > MOST_PIXELS or width_px * height_px * planes > 3 * MOST_PIXELS:
        raise PictureRefused(
            f"{name} has {width_px} × {height_px} pixels, more than"
            f" {MOST_PIXELS / 1e6:.0f} million: crop it round the star"
        )
    if min(width_px, height_px) < LEAST_SIDE_PX:
        raise PictureRefused(
            f"{name} is only {width_px} × {height_px} pixels: take at least"
            f" {LEAST_SIDE_PX} each way, better 200"
        )
