"""The picture with its circles drawn: small for a terminal, whole as a PNG."""

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from logbook.startest.picture.picture import Picture, PictureRefused, Pixels
from logbook.startest.picture.read import read_picture
from logbook.startest.result import Circle, StarMeasure

_REACH = 1.5  # radii shown to each side of the disc
_PNG_SIDE_PX = 800
_DISC, _SHADOW = (255, 90, 90), (255, 200, 60)


@dataclass(frozen=True)
class Overlay:
    """`grey` is (rows, columns), 0 … 255; the circles are in its pixels, counted from 0.

    A pixel (x, y) of the picture is shown at (x − x0_px)·scale, (y − y0_px)·scale.
    """

    grey: NDArray[np.uint8]
    disc: Circle | None
    shadow: Circle | None
    scale: float
    x0_px: float
    y0_px: float


def overlay(picture: Picture, measure: StarMeasure, columns: int, rows: int) -> Overlay:
    """The star (or, where refused, the whole picture) within `columns` × `rows` square pixels."""
    part, x0, y0 = _part(picture.pixels, measure.disc)
    high, wide = part.shape
    scale = min(columns / wide, rows / high)
    size = max(1, round(wide * scale)), max(1, round(high * scale))
    small = np.asarray(Image.fromarray(part).resize(size, Image.Resampling.BOX, reducing_gap=2.0))
    # Middles of pixels count from 0: half a shown pixel is half a pixel times the scale.
    x0, y0 = x0 - 0.5 + 0.5 / scale, y0 - 0.5 + 0.5 / scale
    shown = [_shown(each, scale, x0, y0) for each in (measure.disc, measure.shadow)]
    return Overlay(_stretched(small), shown[0], shown[1], scale, x0, y0)


def _part(pixels: Pixels, disc: Circle | None) -> tuple[Pixels, float, float]:
    if disc is None:
        return pixels, 0.0, 0.0
    reach = _REACH * disc.radius_px
    left, top = max(0, math.floor(disc.x_px - reach)), max(0, math.floor(disc.y_px - reach))
    right, bottom = math.ceil(disc.x_px + reach) + 1, math.ceil(disc.y_px + reach) + 1
    return np.ascontiguousarray(pixels[top:bottom, left:right]), float(left), float(top)


def _shown(circle: Circle | None, scale: float, x0: float, y0: float) -> Circle | None:
    if circle is None:
        return None
    return Circle((circle.x_px - x0) * scale, (circle.y_px - y0) * scale, circle.radius_px * scale)


def _stretched(values: Pixels) -> NDArray[np.uint8]:
    """From the sky to the brightest hundredth."""
    low, high = np.percentile(values, (10.0, 99.5))
    share = (values - low) / max(float(high - low), 1e-9)
    found: NDArray[np.uint8] = np.round(255.0 * np.clip(share, 0.0, 1.0)).astype(np.uint8)
    return found


def write_overlay_png(picture: Picture, measure: StarMeasure, path: Path) -> None:
    """The star with both circles and their centres, about 800 pixels wide."""
    shown = overlay(picture, measure, _PNG_SIDE_PX, _PNG_SIDE_PX)
    image = Image.fromarray(shown.grey).convert("RGB")
    pen = ImageDraw.Draw(image)
    for circle, colour in ((shown.disc, _DISC), (shown.shadow, _SHADOW)):
        if circle is not None:
            _draw(pen, circle, colour)
    image.save(path, format="PNG")


def _draw(pen: ImageDraw.ImageDraw, circle: Circle, colour: tuple[int, int, int]) -> None:
    x, y, radius = circle.x_px, circle.y_px, circle.radius_px
    pen.ellipse((x - radius, y - radius, x + radius, y + radius), outline=colour, width=2)
    pen.line((x - 6, y, x + 6, y), fill=colour, width=2)
    pen.line((x, y - 6, x, y + 6), fill=colour, width=2)


def write_overlay_file(source: Path, measure: StarMeasure, folder: Path) -> Path | None:
    """The drawing beside others in `folder`, named after its picture; None where unreadable."""
    try:
        picture = read_picture(source)
    except PictureRefused:
        return None
    target = folder / f"{source.name}-measured.png"
    write_overlay_png(picture, measure, target)
    return target


class Drawing:
    """The functions, for what imports them when they are first needed."""

    overlay = staticmethod(overlay)
    read_picture = staticmethod(read_picture)
