"""Windows over trees and houses: a horizon that changes with azimuth."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from logbook.sky.night.arrays import Bools, Floats
from logbook.sky.night.site import Horizon
from logbook.sky.night.sky_frame import SkyFrame

_CELL = 4.0 / 1440.0  # days: the sky turns by 1°
_HALF_CELL_DEG = 0.51
_PIECES = 6  # of a cell that is looked at closely: 40 seconds each
_BINS = 1440

Singles = NDArray[np.float32]


@dataclass(frozen=True)
class Skyline:
    """The altitude to be cleared at every azimuth: the horizon, but at least the wanted limit."""

    azimuths_deg: Floats
    altitudes_deg: Floats
    limit_deg: float

    @classmethod
    def over(cls, horizon: Horizon, limit_deg: float) -> "Skyline":
        """From a site's horizon and a wanted altitude."""
        points = np.array(horizon or ((0.0, limit_deg),), dtype=np.float64)
        return cls(points[:, 0], points[:, 1], limit_deg)

    @property
    def is_flat(self) -> bool:
        """Whether nothing that stands around is above what has to be cleared everywhere."""
        return bool(np.all(self.altitudes_deg <= self.lowest_deg))

    @property
    def lowest_deg(self) -> float:
        """What has to be cleared everywhere."""
        return max(self.limit_deg, float(np.min(self.altitudes_deg)))

    def at(self, azimuths_deg: Floats) -> Floats:
        """Altitude to be cleared, straight lines between the points, through north."""
        profile = np.interp(azimuths_deg, self.azimuths_deg, self.altitudes_deg, period=360.0)
        return np.maximum(profile, self.limit_deg)

    @cached_property
    def bounds(self) -> tuple[Singles, Singles]:
        """Sines of the altitudes (never, surely): below the one an object in that bin of azimuth
        stays hidden for half a cell of time either way, above the other it stays clear.
        """
        highest = min(89.0, float(np.max(self.altitudes_deg)) + 2.0 * _HALF_CELL_DEG)
        reach = _HALF_CELL_DEG / np.cos(np.radians(highest))
        edges = _bin_edges_deg()
        start, end = edges[:-1, None] - reach, edges[1:, None] + reach
        turned = (self.azimuths_deg - start) % 360.0 + start
        both_ends = self.at(np.concatenate([start, end], axis=1))
        heights = np.hstack([np.broadcast_to(self.altitudes_deg, turned.shape), both_ends])
        counts = np.hstack([turned <= end, np.ones_like(both_ends, dtype=np.bool_)])
        lowest = np.maximum(np.min(heights, axis=1, where=counts, initial=90.0), self.limit_deg)
        tallest = np.maximum(np.max(heights, axis=1, where=counts, initial=-90.0), self.limit_deg)
        never = np.sin(np.radians(np.maximum(lowest - _HALF_CELL_DEG, -90.0)))
        surely = np.sin(np.radians(np.minimum(tallest + _HALF_CELL_DEG, 90.0)))
        return never.astype(np.float32), surely.astype(np.float32)


def hidden_windows(
    frame: SkyFrame, directions: Floats, dark: Sequence[tuple[float, float]], skyline: Skyline
) -> tuple[Floats, Floats, Floats]:
    """Hours above the skyline in darkness, first and last instant (MJD; NaN without any).

    The night is cut into cells of four minutes. Where an object cannot reach the skyline within a
    cell the cell counts as a whole; the others are looked at every 40 seconds, with straight lines
    in between.
    """
    count = len(directions)
    hours, first, last = np.zeros(count), np.full(count, np.inf), np.full(count, -np.inf)
    for start, end in dark:
        found = _Cells.between(frame, start, end).windows(directions, skyline)
        hours += found[0]
        first = np.minimum(first, found[1])
        last = np.maximum(last, found[2])
    none = hours <= 0.0
    first[none] = np.nan
    last[none] = np.nan
    return hours, first, last


@dataclass(frozen=True)
class _Cells:
    """A dark span cut into cells; axes (zenith, north, east) at every piece's edge."""

    edges: Floats  # (cells + 1)
    fine: Floats  # (cells * _PIECES + 1)
    axes: tuple[Floats, Floats, Floats]

    @classmethod
    def between(cls, frame: SkyFrame, start: float, end: float) -> "_Cells":
        cells = max(1, int(np.ceil((end - start) / _CELL)))
        fine = np.linspace(start, end, cells * _PIECES + 1)
        return cls(fine[::_PIECES], fine, (frame.zenith(fine), *frame.north_east(fine)))

    def windows(self, directions: Floats, skyline: Skyline) -> tuple[Floats, Floats, Floats]:
        """Hours, first and last (infinite without any) for some objects."""
        clear, unsure = self._look(directions, skyline)
        cells, objects = np.nonzero(unsure)
        share, opens, closes = self._look_closely(directions[objects], cells, skyline)
        partly = np.bincount(objects, weights=share, minlength=len(directions))
        cell_hours = (self.edges[1] - self.edges[0]) * 24.0
        hours = (np.count_nonzero(clear, axis=0) + partly) * cell_hours
        some = clear.any(axis=0)
        first = np.where(some, self.edges[clear.argmax(axis=0)], np.inf)
        last = np.where(some, self.edges[len(clear) - clear[::-1].argmax(axis=0)], -np.inf)
        np.minimum.at(first, objects, opens)
        np.maximum.at(last, objects, closes)
        return hours, first, last

    def _look(self, directions: Floats, skyline: Skyline) -> tuple[Bools, Bools]:
        """Whether in each cell (rows) each object (columns) is surely clear, or perhaps.

        In single precision, for the bounds leave a hundredth of a degree to spare; row by row, so
        that everything stays in the processor's cache.
        """
        never, surely = skyline.bounds
        there = np.ascontiguousarray(directions.T, dtype=np.float32)
        middles = (axis[_PIECES // 2 :: _PIECES].astype(np.float32) for axis in self.axes)
        clear = np.empty((len(self.edges) - 1, len(directions)), dtype=np.bool_)
        unsure = np.empty_like(clear)
        for cell, (zenith, north, east) in enumerate(zip(*middles, strict=True)):
            sine = zenith @ there
            index = _bins(north @ there, east @ there)
            np.greater(sine, surely[index], out=clear[cell])
            np.greater_equal(sine, never[index], out=unsure[cell])
        unsure &= ~clear
        return clear, unsure

    def _look_closely(
        self, directions: Floats, cells: NDArray[np.intp], skyline: Skyline
    ) -> tuple[Floats, Floats, Floats]:
        """Share of a cell above the skyline, its first and last such instant, for pairs."""
        margins = np.stack([self._margins(directions, at, skyline) for at in _fine(cells)], axis=1)
        left, right = margins[:, :-1], margins[:, 1:]
        steep = np.maximum(np.abs(right - left), 1e-12)
        crossing = np.clip(np.maximum(left, right) / steep, 0.0, 1.0)
        shares = np.where((left >= 0.0) == (right >= 0.0), left >= 0.0, crossing)
        begins = np.arange(_PIECES) + np.where(left >= 0.0, 0.0, 1.0 - shares)
        ends = np.arange(_PIECES) + np.where(right >= 0.0, 1.0, shares)
        above = shares > 0.0
        piece = self.fine[1] - self.fine[0]
        opens = self.edges[cells] + np.min(np.where(above, begins, np.inf), axis=1) * piece
        closes = self.edges[cells] + np.max(np.where(above, ends, -np.inf), axis=1) * piece
        return shares.sum(axis=1) / _PIECES, opens, closes

    def _margins(self, directions: Floats, at: NDArray[np.intp], skyline: Skyline) -> Floats:
        """Altitude over the skyline, degrees, of each object at one fine instant."""
        sine, to_north, to_east = (
            np.einsum("ij,ij->i", directions, axis[at]) for axis in self.axes
        )
        altitude = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
        return np.asarray(altitude - skyline.at(np.degrees(np.arctan2(to_east, to_north))))


def _fine(cells: NDArray[np.intp]) -> Iterator[NDArray[np.intp]]:
    return (cells * _PIECES + piece for piece in range(_PIECES + 1))


def _bins(to_north: Singles, to_east: Singles) -> NDArray[np.intp]:
    """A bin of azimuth for each direction, without an arc tangent.

    North over the sum of both sizes runs straight along the sides of a square set on its corner;
    `_bin_edges_deg` has the azimuths that belong to it.
    """
    quarter = np.float32(_BINS / 4.0)
    along = to_north / np.maximum(np.abs(to_north) + np.abs(to_east), np.float32(1e-12))
    along *= quarter
    around = np.where(to_east >= 0.0, quarter - along, np.float32(3.0) * quarter + along)
    return np.asarray(np.minimum(around.astype(np.intp), _BINS - 1))


def _bin_edges_deg() -> Floats:
    around = np.linspace(0.0, 4.0, _BINS + 1)
    eastern = around <= 2.0
    along = np.where(eastern, 1.0 - around, around - 3.0)
    aside = np.where(eastern, 1.0, -1.0) * (1.0 - np.abs(along))
    edges = np.degrees(np.arctan2(aside, along)) % 360.0
    edges[-1] = 360.0
    return np.asarray(edges)
