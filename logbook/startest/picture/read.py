"""One picture from a file, by what its first bytes are."""

import os
import stat
from pathlib import Path

import numpy as np

from logbook.startest.picture.picture import MOST_BYTES, Picture, PictureRefused, shown_name
from logbook.text import clean

_MOST_BAD_SHARE = 0.05
_ABSURD = 1e30  # no brightness; sums of such values overflow


def read_picture(path: Path) -> Picture:
    """The picture in a file. Raises PictureRefused with what to do."""
    head = _head(path)
    if head.startswith((b"SIMPLE  =", b"\x1f\x8b")):
        from logbook.startest.picture.fits_file import read_fits

        picture = read_fits(path)
    else:
        from logbook.startest.picture.image_file import read_image

        picture = read_image(path)
    return _mended(picture)


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


def _mended(picture: Picture) -> Picture:
    """Without values that are no numbers: a few become the median and are reported."""
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
