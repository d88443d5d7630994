"""Pictures that lie beside a book, shrunk and put into a page as its own.

What is gone, too big, no picture or another one than was measured is named in words. Nothing is
fetched, and nothing of a file but its brightness or colours gets into a page: no place, no name.
"""

import base64
import io
import stat
import struct
import warnings
from dataclasses import dataclass
from pathlib import Path

from logbook.errors import BadInput
from logbook.report.render.document import StarPicture
from logbook.startest.result import Circle, StarMeasure
from logbook.text import clean

_STAR_SIDE_PX = 320
_PHOTO_SIDE_PX = 1000
_MOST_PHOTO_BYTES = 100_000_000
_MOST_PIXELS = 64_000_000
_HARD_TO_READ = (
    OSError,
    SyntaxError,
    ValueError,
    TypeError,
    ArithmeticError,
    LookupError,
    EOFError,
    MemoryError,
    struct.error,
)


class NoPicture(BadInput):
    """There is no picture to show. The message says why, without an end."""


@dataclass(frozen=True, slots=True)
class Embedded:
    """A small picture as a `data:` address, and what was measured in it, in its own pixels."""

    address: str
    width_px: int
    height_px: int
    disc: Circle | None = None
    shadow: Circle | None = None


def star_picture(picture: StarPicture, folder: Path | None) -> Embedded:
    """The star of a star test, as it was stored and measured. Raises NoPicture."""
    from PIL import Image

    from logbook.startest.picture.overlay import Drawing

    path = _place(picture.path, folder)
    _refuse_odd_file(path)
    try:
        read = Drawing.read_picture(path)
    except BadInput as error:
        raise NoPicture(f"its picture cannot be shown: {error}") from error
    if picture.size_px not in (None, (read.facts.width_px, read.facts.height_px)):
        raise NoPicture(f"another picture lies where {_name(path)} was measured")
    measured = StarMeasure("", True, disc=picture.disc, shadow=picture.shadow)
    shown = Drawing.overlay(read, measured, _STAR_SIDE_PX, _STAR_SIDE_PX)
    made = io.BytesIO()
    Image.fromarray(shown.grey).save(made, "PNG", optimize=True)
    high, wide = shown.grey.shape
    return Embedded(_address(made, "png"), wide, high, shown.disc, shown.shadow)


def photograph(named: str, folder: Path | None) -> Embedded:
    """A JPEG or PNG, upright, at most 1000 pixels wide or high. Raises NoPicture."""
    from PIL import Image, ImageOps

    path = _place(named, folder)
    if _refuse_odd_file(path) > _MOST_PHOTO_BYTES:
        raise NoPicture(f"{_name(path)} has more than 100 MB")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path, formats=("JPEG", "PNG")) as image:
                if image.width * image.height > _MOST_PIXELS:
                    raise NoPicture(f"{_name(path)} has more than 64 million pixels")
                image.draft("RGB", (_PHOTO_SIDE_PX, _PHOTO_SIDE_PX))
                small = ImageOps.exif_transpose(image).convert("RGB")
                small.thumbnail((_PHOTO_SIDE_PX, _PHOTO_SIDE_PX))
                made = io.BytesIO()
                # A new picture without the old one's notes: they may say where it was taken.
                Image.frombytes("RGB", small.size, small.tobytes()).save(made, "JPEG", quality=82)
    except NoPicture:
        raise
    except Image.DecompressionBombError as error:
        raise NoPicture(f"{_name(path)} has more than 64 million pixels") from error
    except _HARD_TO_READ as error:
        raise NoPicture(f"{_name(path)} is no whole JPEG or PNG") from error
    return Embedded(_address(made, "jpeg"), *small.size)


def _place(named: str, folder: Path | None) -> Path:
    """Where a picture lies; one named without its folder lies beside the book. Raises NoPicture."""
    if named.startswith(("//", "\\\\")):
        raise NoPicture("its picture lies on another machine, which is not asked")
    try:
        path = Path(named).expanduser()
    except RuntimeError as error:
        raise NoPicture("its picture's folder is not known here") from error
    return path if folder is None else folder / path


def _refuse_odd_file(path: Path) -> int:
    """How many bytes an ordinary file has. Raises NoPicture."""
    try:
        about = path.stat()
    except (OSError, ValueError) as error:
        raise NoPicture(f"{_name(path)} is not there any more") from error
    if not stat.S_ISREG(about.st_mode):
        raise NoPicture(f"{_name(path)} is no ordinary file")
    return about.st_size


def _name(path: Path) -> str:
    return clean(path.name, longest=120) or "the file"


def _address(made: io.BytesIO, kind: str) -> str:
    return f"data:image/{kind};base64,{base64.b64encode(made.getvalue()).decode()}"
