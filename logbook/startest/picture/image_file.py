"""PNG, JPEG and TIFF, from cameras and phones, by Pillow."""

import warnings
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageFile, UnidentifiedImageError

from logbook.startest.picture.picture import (
    MOST_PIXELS,
    Picture,
    PictureRefused,
    Pixels,
    check_size,
    shown_name,
)
from logbook.startest.result import Facts
from logbook.text import clean

_FORMATS = ("PNG", "JPEG", "TIFF")
_ORIENTATION, _EXIF, _TAKEN, _OFFSET, _EXPOSURE = 0x0112, 0x8769, 0x9003, 0x9011, 0x829A
_TURNED = {2: "mirrored", 3: "upside down", 4: "mirrored", 5: "turned and mirrored", 6: "turned"}
_CLIPPED_FROM = 0.985  # of full scale; JPEG's rounding smears what was clipped
_FULL_8, _FULL_16 = 255, 65535
_GREY16 = ("I;16", "I;16B", "I;16L", "I;16N", "I")
_BY_COLOUR = ("P", "PA", "1", "CMYK", "YCbCr", "LAB", "HSV")
_PLANES = {"L": 1, "LA": 1, "La": 1, "RGB": 3, "RGBA": 3, "RGBa": 3, "RGBX": 3}  # without alpha
_SMEARED = ("JPEG", "MPO")  # neighbouring values are no steps of a converter


def read_image(path: Path) -> Picture:
    """The picture, colours averaged. Raises PictureRefused."""
    name = shown_name(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=_FORMATS) as image:
                return _read(image, name)
    except PictureRefused:
        raise
    except UnidentifiedImageError:
        raise PictureRefused(
            f"{name} is no picture that can be read: give FITS, PNG, JPEG or TIFF"
        ) from None
    except Image.DecompressionBombError:
        raise PictureRefused(
            f"{name} has more than {MOST_PIXELS / 1e6:.0f} million pixels: crop it round the star"
        ) from None
    except (
        OSError,
        SyntaxError,
        ValueError,
        EOFError,
        MemoryError,
        OverflowError,
        KeyError,
    ) as error:
        words = clean(str(error), longest=100) or type(error).__name__
        raise PictureRefused(
            f"{name} is cut off or damaged ({words}): copy or take it again"
        ) from None


def _read(image: ImageFile.ImageFile, name: str) -> Picture:
    check_size(name, image.width, image.height)
    notes, told, form = _orientation_notes(image), _exif(image), image.format or ""
    values, full = _values(image, name)
    grey, clipped = _grey(values, full)
    bits = "float" if full is None else f"{16 if full == _FULL_16 else 8} bit"
    colour = " colour" if values.ndim == 3 and values.shape[2] == 3 else ""
    facts = Facts(image.width, image.height, f"{clean(form)} {bits}{colour}", **told)
    counted = full is not None and not colour and form not in _SMEARED
    return Picture(grey, facts, 1.0 if counted else 0.0, clipped, notes)


def _values(image: ImageFile.ImageFile, name: str) -> tuple[NDArray[Any], int | None]:
    """Pixels without alpha, and their full scale where it is known."""
    mode = image.mode
    if mode in _BY_COLOUR:
        return np.asarray(image.convert("RGB")), _FULL_8
    if mode in _GREY16:
        return np.asarray(image), _FULL_16
    if mode == "F":
        return np.asarray(image), None
    if mode in _PLANES:
        values = np.asarray(image)
        return (values if values.ndim == 2 else values[..., : _PLANES[mode]]), _FULL_8
    raise PictureRefused(f"{name} is of a kind ({clean(mode)}) not read: save it as 16-bit TIFF")


def _grey(values: NDArray[Any], full: int | None) -> tuple[Pixels, NDArray[np.bool_] | None]:
    """Mean of the colours, and where any of them is at full scale. A plane at a time."""
    planes = [values] if values.ndim == 2 else [values[..., k] for k in range(values.shape[2])]
    grey = planes[0].astype(np.float32)
    for plane in planes[1:]:
        grey += plane
    if len(planes) > 1:
        grey /= np.float32(len(planes))
    return grey, None if full is None else _clipped(planes, int(_CLIPPED_FROM * full))


def _clipped(planes: list[NDArray[Any]], limit: int) -> NDArray[np.bool_]:
    found: NDArray[np.bool_] = planes[0] >= limit
    for plane in planes[1:]:
        found |= plane >= limit
    return found


def _orientation_notes(image: Image.Image) -> tuple[str, ...]:
    orientation = image.getexif().get(_ORIENTATION, 1)
    if orientation in (0, 1):
        return ()
    how = _TURNED.get(orientation, "turned") if isinstance(orientation, int) else "turned"
    return (f"the file asks to be shown {how}; measured as the sensor saw it",)


def _exif(image: Image.Image) -> dict[str, Any]:
    """Time and exposure where the file says them in a form that can be trusted."""
    told = image.getexif().get_ifd(_EXIF)
    found: dict[str, Any] = {}
    taken = _instant(told.get(_TAKEN), told.get(_OFFSET))
    if taken is not None:
        found["taken_at"] = taken
    try:
        exposure_s = float(told[_EXPOSURE])
    except (KeyError, TypeError, ValueError, ZeroDivisionError):
        return found
    if 0.0 < exposure_s < 1e5:
        found["exposure_s"] = exposure_s
    return found


def _instant(taken: object, offset: object) -> datetime | None:
    """A time with its distance from UTC; without one it is nobody's time and left out."""
    if not isinstance(taken, str) or not isinstance(offset, str):
        return None
    try:
        return datetime.strptime(f"{taken} {offset}", "%Y:%m:%d %H:%M:%S %z").astimezone(UTC)
    except (ValueError, OverflowError):
        return None
