"""FITS frames. The only module that opens them.

Source: Pence et al. 2010, A&A 524, A42 (FITS standard 3.0).
"""

import gzip
import io
import math
import warnings
import zlib
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

import numpy as np
from astropy.io import fits
from numpy.typing import NDArray

from logbook.startest.picture.picture import Picture, PictureRefused, check_size, shown_name
from logbook.startest.result import Facts
from logbook.text import clean

_DEPTHS = (8, 16, 32, 64, -32, -64)
_MOST_UNITS = 50
_MOST_HEADER = 1_000_000  # bytes; real ones have some thousands
_MOST_UNPACKED = 270_000_000  # bytes; 64 million pixels of 32 bit


_DAMAGE = (
    OSError,
    ValueError,
    TypeError,
    EOFError,
    LookupError,
    AttributeError,
    ArithmeticError,
    MemoryError,
    zlib.error,
    fits.VerifyError,
)


def read_fits(path: Path) -> Picture:
    """The first image of the file. Raises PictureRefused."""
    name = shown_name(path)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with _unpacked(path, name) as file, fits.open(file, lazy_load_hdus=True) as units:
                return _read(units, name)
    except PictureRefused:
        raise
    except _DAMAGE as error:
        words = clean(str(error), longest=100) or type(error).__name__
        raise PictureRefused(
            f"{name} is cut off or no sound FITS ({words}): copy or take it again"
        ) from None


def _unpacked(path: Path, name: str) -> IO[bytes]:
    """The open file; a gzipped one is unpacked in memory, up to a bound.

    Raises PictureRefused where no header ends within a sane length: astropy would read on.
    """
    with path.open("rb") as file:
        packed = file.read(2) == b"\x1f\x8b"
    opened: IO[bytes] = path.open("rb")
    if packed:
        with opened, gzip.open(opened) as unpacking:
            plain = unpacking.read(_MOST_UNPACKED + 1)
        if len(plain) > _MOST_UNPACKED:
            raise PictureRefused(
                f"{name} unpacks to more than {_MOST_UNPACKED / 1e6:.0f} MB: crop it round the star"
            )
        opened = io.BytesIO(plain)
    head = opened.read(_MOST_HEADER)
    opened.seek(0)
    if not head.startswith(b"SIMPLE  ="):
        opened.close()
        raise PictureRefused(f"{name} is no picture that can be read: give FITS, PNG, JPEG or TIFF")
    if b"END     " not in head:
        opened.close()
        raise PictureRefused(f"{name} has a header without end: copy or take it again")
    return opened


def _read(units: Any, name: str) -> Picture:
    for index, unit in enumerate(_units(units)):
        if not unit.is_image or unit.header.get("NAXIS", 0) < 2:
            continue
        shape = unit.shape
        planes = 1 if len(shape) == 2 else shape[0]
        if len(shape) > 3 or planes not in (1, 3):
            raise PictureRefused(f"{name} is a stack of {planes} planes: give a single frame")
        check_size(name, shape[-1], shape[-2], planes)
        bits = unit.header.get("ZBITPIX", unit.header.get("BITPIX"))
        if bits not in _DEPTHS:
            raise PictureRefused(f"{name} says a depth that FITS does not have: take it again")
        return _picture(unit, name, shape, bits, units[0].header if index else unit.header)
    raise PictureRefused(f"{name} is FITS without an image: name the frame itself")


def _units(units: Any) -> Any:
    for index in range(_MOST_UNITS):
        try:
            yield units[index]
        except IndexError:
            return


def _picture(unit: Any, name: str, shape: tuple[int, ...], bits: int, first: Any) -> Picture:
    values = unit.data
    if values is None or values.shape != shape:
        raise PictureRefused(f"{name} is cut off: copy or take it again")
    grey = _grey(values)
    form = (
        f"FITS {abs(bits)} bit{' float' if bits < 0 else ''}{' colour' if len(shape) == 3 else ''}"
    )
    facts = Facts(shape[-1], shape[-2], form, **_facts(unit.header, first))
    step = 1.0 if bits > 0 and len(shape) == 2 else 0.0
    return Picture(grey, facts, step)


def _grey(values: NDArray[Any]) -> NDArray[np.float32]:
    with np.errstate(over="ignore", invalid="ignore"):
        grey: NDArray[np.float32] = (
            values.mean(axis=0, dtype=np.float32)
            if values.ndim == 3
            else np.ascontiguousarray(values, dtype=np.float32)
        )
    return grey


def _facts(header: Any, first: Any) -> dict[str, Any]:
    """What the header says, as harmless text and numbers that can be true."""

    def said(*keys: str) -> Any:
        for key in keys:
            for where in (header, first):
                try:
                    value = where.get(key)
                except (ValueError, TypeError, KeyError, fits.VerifyError):
                    continue
                if value not in (None, ""):
                    return value
        return None

    return {
        "object_name": clean(str(said("OBJECT") or ""), longest=60),
        "taken_at": _instant(said("DATE-OBS"), said("TIME-OBS", "UT")),
        "exposure_s": _positive(said("EXPTIME", "EXPOSURE")),
        "focal_length_mm": _positive(said("FOCALLEN")),
        "aperture_mm": _positive(said("APTDIA")),
        "pixel_um": _positive(said("XPIXSZ")),
    }


def _positive(value: object) -> float | None:
    """A number above 0, else None: makers write 0 for what they do not know."""
    try:
        number = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return None
    return number if 0.0 < number < 1e7 and math.isfinite(number) else None


def _instant(day: object, time: object) -> datetime | None:
    """DATE-OBS is UTC by the standard; a date alone is completed by TIME-OBS or left out."""
    if not isinstance(day, str):
        return None
    text = day if "T" in day else f"{day}T{time}" if isinstance(time, str) and time else ""
    try:
        found = datetime.fromisoformat(text.strip().rstrip("Z"))
    except ValueError:
        return None
    return found.replace(tzinfo=UTC) if found.tzinfo is None else found.astimezone(UTC)
