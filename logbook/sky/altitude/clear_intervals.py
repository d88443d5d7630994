"""When one object stands clear of the limit and the horizon: every stretch by itself."""

from dataclasses import dataclass

import numpy as np

from logbook.sky.altitude.curve import DirectionsAt, altitude_azimuth_deg
from logbook.sky.altitude.visibility import Spans
from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.intervals import Interval
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.night.skyline import Skyline

_LOOK = 0.5 / 1440.0
_SHORTEST = 1.0 / 86400.0


@dataclass(frozen=True, slots=True)
class Looks:
    """One object looked at again and again, at least twice: at instants (MJD), its directions
    (n, 3), altitudes and azimuths.
    """

    mjd: Floats
    there: Floats
    altitude_deg: Floats
    azimuth_deg: Floats


def looks(frame: SkyFrame, directions_at: DirectionsAt, start: float, end: float) -> Looks:
    """The object every half minute from a start to an end (MJD), both among them."""
    mjd = np.linspace(start, end, max(2, int(np.ceil((end - start) / _LOOK)) + 1))
    there = directions_at(frame, mjd)
    return Looks(mjd, there, *altitude_azimuth_deg(frame, there, mjd))


def clear_windows(
    frame: SkyFrame, directions_at: DirectionsAt, dark: Spans, min_altitude_deg: float
) -> tuple[Interval, ...]:
    """The stretches of darkness in which the object stands clear, straight lines between looks."""
    skyline = Skyline.over(frame.site.horizon, min_altitude_deg)
    spans = []
    for start, end in dark:
        found = looks(frame, directions_at, start, end)
        needed = skyline.lowest_deg if skyline.is_flat else skyline.at(found.azimuth_deg)
        spans += _above(found.mjd, found.altitude_deg - needed)
    return tuple(
        Interval(earth.to_instant(start), earth.to_instant(end))
        for start, end in spans
        if end - start > _SHORTEST
    )


def _above(mjd: Floats, margin: Floats) -> list[tuple[float, float]]:
    up = margin >= 0.0
    at = np.flatnonzero(up[1:] != up[:-1])
    share = margin[at] / (margin[at] - margin[at + 1])
    edges = [float(each) for each in mjd[at] + share * (mjd[at + 1] - mjd[at])]
    if up[0]:
        edges.insert(0, float(mjd[0]))
    if up[-1]:
        edges.append(float(mjd[-1]))
    return list(zip(edges[::2], edges[1::2], strict=True))
