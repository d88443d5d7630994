"""One picture from a file, read within bounds: what is too big, cut off or no picture is refused.

The header is looked at before any pixel. Pixels stay as stored: a phone's note that its picture
should be shown turned is told and not followed, because the sensor sits in the telescope.
"""

import os
import stat
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from logbook.errors import BadInput
from logbook.startest.seen import Facts
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


def read_picture(path: Path) -> Picture:
    """The picture in a file. Raises PictureRefused with what to do."""
    head = _head(path)
    if head.startswith((b"SIMPLE  =", b"\x1f\x8b")):
        from logbook.startest.fits_file import read_fits

        picture = read_fits(path)
    else:
        from logbook.startest.image_file import read_image

        picture = read_image(path)
    return _mended(picture)


def shown_name(path: Path) -> str:
    """The file's name alone, as harmless text."""
    return clean(path.name, longest=120) or "?"


def _head(path: Path) -> bytes:
    """The first bytes of an ordinary file. Raises PictureRefused."""
    name = shown_name(path)
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise PictureRefused(f"{name} is a folder: name the picture in it")
        if not stat.S_ISREG(about.st_mode):
            raise PictureRefused(f"{name} is no ordinary file: name a picture file")
        if about.st_size == 0:
            raise PictureRefused(f"{name} is empty: wait until it is written, or take it again")
        if about.st_size > MOST_BYTES:
            raise PictureRefused(
                f"{name} has {about.st_size / 1e6:.0f} MB, more than {MOST_BYTES / 1e6:.0f}:"
                " save the one frame, cropped to the star"
            )
        with open(os.open(path, os.O_RDONLY | os.O_NONBLOCK), "rb") as file:
            return file.read(16)
    except (FileNotFoundError, NotADirectoryError):
        raise PictureRefused(f"{name} is not there: look at the name and the folder") from None
    except (OSError, ValueError) as error:
        words = clean(getattr(error, "strerror", None) or "its name cannot be used", longest=120)
        raise PictureRefused(f"{name} cannot be read: {words}") from None


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


def _mended(picture: Picture) -> Picture:
    """Without values that are no numbers: a few become the middle value and are told."""
    with np.errstate(invalid="ignore"):
        bad = ~(np.abs(picture.pixels) < _ABSURD)
    count = int(bad.sum())
    if not count:
        return picture
    if count > _MOST_BAD_SHARE * bad.size:
        share = 100.0 * count / bad.size
        raise PictureRefused(
            f"{share:.0f} % of the pixels are not numbers: save the frame again, uncalibrated"
        )
    pixels = picture.pixels.copy()
    pixels[bad] = np.median(pixels[~bad][:: max(1, bad.size // 100_000)])
    notes = (*picture.notes, f"{count} pixels are not numbers and were left out")
    return Picture(pixels, picture.facts, picture.step, picture.clipped, notes)
