"""How to turn the camera on an object, and how many frames it takes when one does not do."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from logbook.errors import BadInput
from logbook.sky.catalogue.objects import SkyObject
from logbook.sky.framing.projection import from_plane

OVERLAP = 0.2  # of a frame with the next; common practice, no source
_MOST_PANELS = 400
_ROUND = 1.05  # an ellipse this near to a circle has no direction


@dataclass(frozen=True, slots=True)
class CameraAngle:
    """How the frame is best turned on an object.

    angle_deg -- position angle of the frame's up, 0 to 180; None where it does not matter or the
        object's own is not known.
    fits -- None where the size is not known. fill -- long axis over the short side.
    """

    angle_deg: float | None
    fits: bool | None
    fill: float | None
    words: str


@dataclass(frozen=True, slots=True)
class Panel:
    """One frame of a mosaic. Place: ICRS, 2000.0.

    column, row -- from 1, left to right and top to bottom.
    x_deg, y_deg -- from the mosaic's middle to the frame's right and up, as the sky is seen from
        below with nothing mirrored.
    """

    number: int
    column: int
    row: int
    ra_deg: float
    dec_deg: float
    x_deg: float
    y_deg: float


@dataclass(frozen=True, slots=True)
class Mosaic:
    """Frames that cover an object, in the order to take them: each beside the one before.

    angle_deg -- position angle of the frames' up.
    """

    columns: int
    rows: int
    overlap: float
    angle_deg: float
    panels: tuple[Panel, ...]
    words: str


def fill_words(major_arcmin: float | None, field_deg: tuple[float, float]) -> str:
    """How much of the frame an object takes: "fills 3 % of the short side"."""
    if major_arcmin is None:
        return "size unknown"
    fill = major_arcmin / 60.0 / min(field_deg)
    if fill > 1.0:
        return f"{fill:.{2 if fill < 1.1 else 1}f} × the short side"
    return f"fills {fill * 100.0:.{0 if fill >= 0.01 else 1}f} % of the short side"


def camera_angle(thing: SkyObject, field_deg: tuple[float, float]) -> CameraAngle:
    """The angle that lays the object's long axis along the frame's long side."""
    if thing.major_arcmin is None:
        return CameraAngle(None, None, None, "Size unknown: take a first frame at any angle.")
    fill = thing.major_arcmin / 60.0 / min(field_deg)
    angle = _along_the_long_side(thing, field_deg)
    wide, high = extent_deg(thing, 0.0 if angle is None else angle)
    fits = wide <= field_deg[0] and high <= field_deg[1]
    said = fill_words(thing.major_arcmin, field_deg)
    return CameraAngle(angle, fits, fill, f"{_angle_words(thing, angle, fill, fits)} ({said}).")


def extent_deg(thing: SkyObject, angle_deg: float) -> tuple[float, float]:
    """Width and height of an object's ellipse in a frame whose up has a position angle.

    What has no minor axis or no position angle is taken as a circle of its long axis; nothing
    where the size is not known.
    """
    major = (thing.major_arcmin or 0.0) / 60.0
    minor = major if thing.minor_arcmin is None else thing.minor_arcmin / 60.0
    if thing.position_angle_deg is None:
        return major, major
    turn = math.radians(thing.position_angle_deg - angle_deg)
    wide = math.hypot(major * math.sin(turn), minor * math.cos(turn))
    high = math.hypot(major * math.cos(turn), minor * math.sin(turn))
    return wide, high


def mosaic(
    thing: SkyObject,
    field_deg: tuple[float, float],
    *,
    overlap: float = OVERLAP,
    angle_deg: float | None = None,
) -> Mosaic:
    """The frames that cover an object; one if it fits or its size is not known.

    angle_deg -- of the frame's up; None for the best one. Raises BadInput for an overlap outside
    0 to 0.8, or a field so small that hundreds of frames would be needed.
    """
    if not 0.0 <= overlap <= 0.8:
        raise BadInput(f"an overlap of {overlap * 100:g} % is not possible: 0 to 80 %")
    if angle_deg is None:
        angle_deg = camera_angle(thing, field_deg).angle_deg or 0.0
    extent = extent_deg(thing, angle_deg)
    columns, rows = (
        _count(size, side, overlap) for size, side in zip(extent, field_deg, strict=True)
    )
    if columns * rows > _MOST_PANELS:
        raise BadInput(
            f"it would take {columns} × {rows} frames: choose a train with a wider field"
        )
    panels = tuple(_panels(thing, field_deg, columns, rows, overlap, angle_deg))
    words = _mosaic_words(thing, columns, rows, overlap, angle_deg)
    return Mosaic(columns, rows, overlap, angle_deg, panels, words)


def _along_the_long_side(thing: SkyObject, field_deg: tuple[float, float]) -> float | None:
    if thing.position_angle_deg is None or thing.minor_arcmin is None or not thing.major_arcmin:
        return None
    if thing.major_arcmin < _ROUND * thing.minor_arcmin or field_deg[0] == field_deg[1]:
        return None
    quarter = 90.0 if field_deg[0] > field_deg[1] else 0.0
    return (thing.position_angle_deg + quarter) % 180.0


def _angle_words(thing: SkyObject, angle: float | None, fill: float, fits: bool) -> str:
    if angle is not None:
        words = f"Turn the camera so that up has position angle {angle:.0f}°"
        if fill <= 1.0:
            return f"{words}: the long axis lies along the long side, though any angle will do"
        if fits:
            return f"{words}: only along the long side does it fit"
        return f"{words}; even so it does not fit in one frame"
    long_way = thing.minor_arcmin is not None and thing.major_arcmin != thing.minor_arcmin
    unknown = thing.position_angle_deg is None and (thing.minor_arcmin is None or long_way)
    words = "Position angle unknown: taken as a circle" if unknown else "Any angle will do"
    return words if fits else f"{words}; it does not fit in one frame"


def _count(size_deg: float, side_deg: float, overlap: float) -> int:
    """Frames in a row, so that they reach from end to end and lap over each other."""
    if size_deg <= side_deg:
        return 1
    return 1 + math.ceil((size_deg - side_deg) / (side_deg * (1.0 - overlap)) - 1e-9)


def _panels(
    thing: SkyObject,
    field_deg: tuple[float, float],
    columns: int,
    rows: int,
    overlap: float,
    angle_deg: float,
) -> Iterator[Panel]:
    """Row by row from the top, to and fro, so that the mount moves by one frame each time."""
    wide, high = (side * (1.0 - overlap) for side in field_deg)
    number = 0
    for row in range(rows):
        across = range(columns) if row % 2 == 0 else reversed(range(columns))
        for column in across:
            number += 1
            x = (column - (columns - 1) / 2.0) * wide
            y = ((rows - 1) / 2.0 - row) * high
            ra, dec = from_plane(thing.ra_deg, thing.dec_deg, x, y, angle_deg)
            yield Panel(number, column + 1, row + 1, ra, dec, x, y)


def _mosaic_words(
    thing: SkyObject, columns: int, rows: int, overlap: float, angle_deg: float
) -> str:
    if thing.major_arcmin is None:
        return "Size unknown: one frame, to begin with."
    if columns * rows == 1:
        return "One frame is enough."
    return (
        f"{columns * rows} frames, {columns} across and {rows} down, lapping over by "
        f"{overlap * 100.0:.0f} %, up at position angle {angle_deg:.0f}°; "
        "row by row from the top, to and fro."
    )


class Angles:
    """What is needed for an angle, for what imports it when it is first needed."""

    thing = SkyObject
    camera_angle = staticmethod(camera_angle)
