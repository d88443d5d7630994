"""Windows over trees and houses: a horizon that changes with azimuth."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.sky.arrays import Bools, Floats
from logbook.sky.frame import SkyFrame
from logbook.sky.place import Horizon

_STEP = 4.0 / 1440.0


@dataclass(frozen=True, slots=True)
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
        """Whether the limit is above everything that stands around."""
        return bool(np.all(self.altitudes_deg <= self.lowest_deg))

    @property
    def lowest_deg(self) -> float:
        """What has to be cleared everywhere."""
        return max(self.limit_deg, float(np.min(self.altitudes_deg)))

    @property
    def highest_deg(self) -> float:
        return max(self.limit_deg, float(np.max(self.altitudes_deg)))

    def at(self, azimuths_deg: Floats) -> Floats:
        """Altitude to be cleared, straight lines between the points, through north."""
        profile = np.interp(azimuths_deg, self.azimuths_deg, self.altitudes_deg, period=360.0)
        return np.maximum(profile, self.limit_deg)


def hidden_windows(
    frame: SkyFrame, directions: Floats, dark: Sequence[tuple[float, float]], skyline: Skyline
) -> tuple[Floats, Floats, Floats]:
    """Hours above the skyline in darkness, first and last instant (MJD; NaN without any).

    Looked at every four minutes; passages are then found to a second. Something narrower than
    four minutes of a star's way (1°) may be overlooked.
    """
    count = len(directions)
    hours = np.zeros(count)
    first, last = np.full(count, np.inf), np.full(count, -np.inf)
    for start, end in dark:
        grid = np.linspace(start, end, max(2, int(np.ceil((end - start) / _STEP)) + 1))
        clear = _clear(frame, directions, grid, skyline)
        which, left = np.nonzero(clear[:, 1:] != clear[:, :-1])
        instants = _passages(frame, directions[which], grid[left], grid[left + 1], skyline)
        rising = clear[which, left + 1]
        signed = np.where(rising, -instants, instants) - np.where(rising, -start, start)
        hours += 24.0 * np.bincount(which, weights=signed, minlength=count)
        hours += 24.0 * np.where(clear[:, -1], end - start, 0.0)
        first = np.where(clear[:, 0], np.minimum(first, start), first)
        last = np.where(clear[:, -1], np.maximum(last, end), last)
        np.minimum.at(first, which[rising], instants[rising])
        np.maximum.at(last, which[~rising], instants[~rising])
    none = ~np.isfinite(first)
    first[none] = np.nan
    last[none] = np.nan
    hours[none] = 0.0
    return hours, first, last


def _clear(frame: SkyFrame, directions: Floats, grid: Floats, skyline: Skyline) -> Bools:
    """Whether each object (rows) clears the skyline at each instant (columns)."""
    sines = directions @ frame.zenith(grid).T
    low, high = np.sin(np.radians([skyline.lowest_deg, skyline.highest_deg]))
    clear: Bools = np.asarray(sines >= high)
    rows, columns = np.nonzero((sines >= low) & ~clear)
    north, east = frame.north_east(grid)
    there = directions[rows]
    to_north = np.einsum("ij,ij->i", there, north[columns])
    to_east = np.einsum("ij,ij->i", there, east[columns])
    needed = skyline.at(np.degrees(np.arctan2(to_east, to_north)))
    clear[rows, columns] = sines[rows, columns] >= np.sin(np.radians(needed))
    return clear


def _passages(
    frame: SkyFrame, directions: Floats, left: Floats, right: Floats, skyline: Skyline
) -> Floats:
    """The instant between left and right at which each object crosses the skyline."""
    above_left = _margin_deg(frame, directions, left, skyline)
    for _ in range(8):  # four minutes halved to a second
        middle = (left + right) / 2.0
        same = (_margin_deg(frame, directions, middle, skyline) >= 0.0) == (above_left >= 0.0)
        left, right = np.where(same, middle, left), np.where(same, right, middle)
    return (left + right) / 2.0


def _margin_deg(frame: SkyFrame, directions: Floats, mjd: Floats, skyline: Skyline) -> Floats:
    north, east = frame.north_east(mjd)
    sine, to_north, to_east = (
        np.einsum("ij,ij->i", directions, axis) for axis in (frame.zenith(mjd), north, east)
    )
    altitude = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
    return np.asarray(altitude - skyline.at(np.degrees(np.arctan2(to_east, to_north))))
