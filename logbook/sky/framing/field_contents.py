"""What lies in the frame around an object, as this train shows it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from logbook.sky.catalogue.objects import Catalogue, SkyObject, bright_stars, deep_sky
from logbook.sky.framing.instrument import Instrument
from logbook.sky.framing.mosaic import extent_deg, fill_words
from logbook.sky.framing.projection import to_plane
from logbook.sky.night.arrays import Floats


@dataclass(frozen=True, slots=True)
class Placed:
    """Something in the frame. Unknown is None.

    x, y -- of its middle, as parts of the frame: 0 left and bottom, 1 right and top.
    major_deg, minor_deg -- its axes; turn_deg the long axis on the picture, clockwise from up.
    inside -- whether its middle lies in the frame.
    """

    id: str
    name: str
    kind: str
    magnitude: float | None
    x: float
    y: float
    major_deg: float | None
    minor_deg: float | None
    turn_deg: float | None
    inside: bool


@dataclass(frozen=True, slots=True)
class FrameView:
    """The frame on an object, drawn as this train shows it: mirrored where it mirrors.

    angle_deg -- position angle of the frame's up.
    north_deg, east_deg -- where they point on the picture, clockwise from up, 0 to 360.
    others -- catalogue objects and stars whose middle lies inside, the most striking first.
    """

    width_deg: float
    height_deg: float
    angle_deg: float
    mirrored: bool
    object: Placed
    others: tuple[Placed, ...]
    north_deg: float
    east_deg: float
    words: tuple[str, ...]


def frame_view(
    thing: SkyObject,
    instrument: Instrument,
    *,
    angle_deg: float = 0.0,
    shift_deg: tuple[float, float] = (0.0, 0.0),
    faintest_mag: float | None = None,
    most: int = 60,
) -> FrameView | None:
    """The frame on an object; None where the train's field is not known.

    angle_deg -- position angle of the frame's up.
    shift_deg -- how far the object is moved to the right and up out of the middle, on the picture.
    faintest_mag -- leaves out what is known to be fainter.
    """
    if instrument.field is None:
        return None
    camera = _Camera(instrument.field.field_deg, angle_deg, instrument.mirrored, shift_deg)
    others: list[Placed] = []
    total = 0
    for catalogue in (deep_sky(), bright_stars()):
        rows, x, y = _inside(catalogue, thing, camera, faintest_mag)
        total += len(rows)
        striking = np.argsort(_faintness(catalogue, rows), kind="stable")[:most]
        others += [
            _placed(catalogue.at(int(rows[i])), camera, float(x[i]), float(y[i])) for i in striking
        ]
    others.sort(key=_rank)
    return FrameView(
        width_deg=camera.field_deg[0],
        height_deg=camera.field_deg[1],
        angle_deg=angle_deg % 360.0,
        mirrored=instrument.mirrored,
        object=_placed(thing, camera, *camera.parts(np.zeros(1), np.zeros(1))),
        others=tuple(others[:most]),
        north_deg=camera.turn_deg(0.0),
        east_deg=camera.turn_deg(90.0),
        words=_words(thing, camera, total, min(most, len(others))),
    )


@dataclass(frozen=True, slots=True)
class _Camera:
    field_deg: tuple[float, float]
    angle_deg: float
    mirrored: bool
    shift_deg: tuple[float, float]

    def parts(self, x_deg: Floats, y_deg: Floats) -> tuple[Floats, Floats]:
        """Places on the sky's plane as parts of the frame."""
        across = -x_deg if self.mirrored else x_deg
        wide, high = self.plane_deg
        return (
            np.asarray(0.5 + (across + self.shift_deg[0]) / wide),
            np.asarray(0.5 + (y_deg + self.shift_deg[1]) / high),
        )

    @property
    def plane_deg(self) -> tuple[float, float]:
        """Sides of the flat picture: the tangents of the field's halves."""
        wide, high = (
            2.0 * math.degrees(math.tan(math.radians(side / 2.0))) for side in self.field_deg
        )
        return wide, high

    def turn_deg(self, position_angle_deg: float) -> float:
        """Where a position angle points on the picture, clockwise from up."""
        counter = position_angle_deg - self.angle_deg
        return (counter if self.mirrored else -counter) % 360.0

    @property
    def reach_deg(self) -> float:
        corner = math.hypot(*self.plane_deg) / 2.0 + math.hypot(*self.shift_deg)
        return min(89.0, corner)


def _inside(
    catalogue: Catalogue, thing: SkyObject, camera: _Camera, faintest_mag: float | None
) -> tuple[NDArray[np.intp], Floats, Floats]:
    """Rows whose middle lies in the frame, the object itself left out, and where they lie."""
    ra, dec = math.radians(thing.ra_deg), math.radians(thing.dec_deg)
    middle = np.array([math.cos(dec) * math.cos(ra), math.cos(dec) * math.sin(ra), math.sin(dec)])
    rows = np.flatnonzero(catalogue.unit_icrs @ middle > math.cos(math.radians(camera.reach_deg)))
    if faintest_mag is not None:
        rows = rows[~(catalogue.magnitude[rows] > faintest_mag)]
    rows = rows[[catalogue.ids[row] != thing.id for row in rows]] if rows.size else rows
    where = (thing.ra_deg, thing.dec_deg)
    x, y = camera.parts(*to_plane(where, catalogue.unit_icrs[rows], camera.angle_deg))
    inside = (np.abs(x - 0.5) <= 0.5) & (np.abs(y - 0.5) <= 0.5)
    return rows[inside], x[inside], y[inside]


def _faintness(catalogue: Catalogue, rows: NDArray[np.intp]) -> Floats:
    """A magnitude, or for what has none one that grows with its smallness."""
    size = np.nan_to_num(catalogue.major_arcmin[rows], nan=0.1)
    return np.where(
        np.isnan(catalogue.magnitude[rows]),
        15.0 - 2.5 * np.log10(np.maximum(size, 0.1)),
        catalogue.magnitude[rows],
    )


def _rank(placed: Placed) -> float:
    if placed.magnitude is not None:
        return placed.magnitude
    return 15.0 - 2.5 * math.log10(max((placed.major_deg or 0.0) * 60.0, 0.1))


def _placed(thing: SkyObject, camera: _Camera, x: Floats | float, y: Floats | float) -> Placed:
    major, minor = thing.major_arcmin, thing.minor_arcmin
    angle = thing.position_angle_deg
    across, up = float(np.squeeze(x)), float(np.squeeze(y))
    return Placed(
        id=thing.id,
        name=thing.title,
        kind=thing.kind,
        magnitude=thing.magnitude,
        x=across,
        y=up,
        major_deg=None if major is None else major / 60.0,
        minor_deg=None if minor is None else minor / 60.0,
        turn_deg=None if angle is None else camera.turn_deg(angle) % 180.0,
        inside=abs(across - 0.5) <= 0.5 and abs(up - 0.5) <= 0.5,
    )


def _words(thing: SkyObject, camera: _Camera, total: int, shown: int) -> tuple[str, ...]:
    words = [_size_words(thing, camera)]
    may_be_long = thing.minor_arcmin != thing.major_arcmin
    if thing.position_angle_deg is None and thing.major_arcmin and may_be_long:
        words.append("Position angle unknown: drawn as a circle of its long axis.")
    if camera.mirrored:
        words.append("Mirrored, as an odd number of mirrors makes it.")
    if total > shown:
        words.append(f"{total} objects lie in the frame; the {shown} most striking are shown.")
    if not total:
        words.append("Nothing else of the catalogue lies in the frame.")
    words.append("Stars fainter than about magnitude 5 are drawn only where they have a name.")
    return tuple(words)


def _size_words(thing: SkyObject, camera: _Camera) -> str:
    if thing.major_arcmin is None:
        return "Size unknown: only its place is marked."
    wide, high = extent_deg(thing, camera.angle_deg)
    said = fill_words(thing.major_arcmin, camera.field_deg)
    if wide > camera.field_deg[0] or high > camera.field_deg[1]:
        return f"It does not fit at this angle ({said})."
    return f"It {said}." if said.startswith("fills") else f"It fits at this angle ({said})."
