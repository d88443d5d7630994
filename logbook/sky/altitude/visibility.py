"""When objects stand high enough in darkness, for a whole catalogue at once.

Altitudes of a fixed star are a cosine of its hour angle, so over a flat limit its windows have a
closed form and no grid is needed; over a horizon of trees and houses they are searched
(`skyline.py`). Held against astropy and astroplan in the tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.intervals import Interval
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.night.skyline import Skyline, hidden_windows

SIDEREAL_DAY = 1.0 / earth.TURNS_A_DAY

Spans = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Windows:
    """What a set of objects does in a night's darkness; each array has one value an object.

    hours -- time above the limit (and the skyline) in darkness.
    first_mjd, last_mjd -- when that begins and ends; NaN without any. Between the two an object
        may dip below the limit, then hours is less than their difference.
    max_altitude_deg -- highest in darkness, over the limit or not, and where a horizon of trees
        counts, highest between first and last; NaN without darkness.
    transit_mjd -- upper passage of the meridian in this night (noon to noon), the one nearest to
        the window if there are two, NaN if the night of 23 hours has none.
    """

    hours: Floats
    first_mjd: Floats
    last_mjd: Floats
    max_altitude_deg: Floats
    transit_mjd: Floats


def spans_mjd(intervals: Sequence[Interval]) -> list[tuple[float, float]]:
    """Intervals as pairs of MJD."""
    return [(earth.to_mjd(each.start), earth.to_mjd(each.end)) for each in intervals]


def windows(frame: SkyFrame, directions: Floats, dark: Spans, min_altitude_deg: float) -> Windows:
    """The windows of objects above a limit, and above the site's horizon where it is higher.

    directions -- unit vectors (n, 3) from `frame.places`.
    dark -- the spans (MJD) that count as darkness, not overlapping, in order.
    """
    skyline = Skyline.over(frame.site.horizon, min_altitude_deg)
    flat = _flat_windows(frame, directions, dark, skyline.lowest_deg)
    if skyline.is_flat or not dark:
        return flat
    chosen = np.flatnonzero(flat.hours > 0.0)
    found = hidden_windows(frame, directions[chosen], dark, skyline)
    hours = np.zeros_like(flat.hours)
    first, last = np.full_like(hours, np.nan), np.full_like(hours, np.nan)
    hours[chosen], first[chosen], last[chosen] = found
    transit = _nearest(flat.transit_mjd, first, last, frame)
    highest = flat.max_altitude_deg
    highest[chosen] = _highest_between(frame, directions[chosen], first[chosen], last[chosen])
    return Windows(hours, first, last, highest, transit)


def _flat_windows(frame: SkyFrame, directions: Floats, dark: Spans, limit_deg: float) -> Windows:
    first_transit = _first_transit(frame, directions)
    half = _half_window_days(frame, directions, limit_deg)
    hours = np.zeros(len(directions))
    first, last = np.full_like(hours, np.inf), np.full_like(hours, -np.inf)
    for start, end in dark:
        for turn in (-1, 0, 1):
            middle = first_transit + turn * SIDEREAL_DAY
            begins, ends = np.maximum(middle - half, start), np.minimum(middle + half, end)
            inside = ends > begins
            hours += np.where(inside, (ends - begins) * 24.0, 0.0)
            first = np.where(inside, np.minimum(first, begins), first)
            last = np.where(inside, np.maximum(last, ends), last)
    none = hours == 0.0
    first[none] = np.nan
    last[none] = np.nan
    highest = _max_altitude_deg(frame, directions, first_transit, dark)
    return Windows(hours, first, last, highest, _nearest(first_transit, first, last, frame))


def _first_transit(frame: SkyFrame, directions: Floats) -> Floats:
    """First upper passage of the meridian after the night's noon."""
    right_ascension = np.arctan2(directions[:, 1], directions[:, 0])
    turn = (right_ascension - float(frame.meridian_rad(frame.start_mjd))) % (2.0 * np.pi)
    return np.asarray(frame.start_mjd + turn / (2.0 * np.pi) * SIDEREAL_DAY)


def _half_window_days(frame: SkyFrame, directions: Floats, limit_deg: float) -> Floats:
    """Time from rising through the limit to the meridian: half a sidereal day if it never sinks
    below, less than nothing if it never reaches it.

    Source: Meeus 1998, ch. 15, eq. 15.1.
    """
    sine_dec = directions[:, 2]
    cosine_dec = np.hypot(directions[:, 0], directions[:, 1])
    reach = np.maximum(np.cos(frame.latitude_rad) * cosine_dec, 1e-12)
    cosine = (np.sin(np.radians(limit_deg)) - np.sin(frame.latitude_rad) * sine_dec) / reach
    half = np.arccos(np.clip(cosine, -1.0, 1.0)) / (2.0 * np.pi) * SIDEREAL_DAY
    return np.where(cosine > 1.0, -1.0, half)


def _max_altitude_deg(
    frame: SkyFrame, directions: Floats, first_transit: Floats, dark: Spans
) -> Floats:
    if not dark:
        return np.full(len(directions), np.nan)
    edges = np.array([edge for span in dark for edge in span])
    sine = np.max(frame.zenith(edges) @ directions.T, axis=0)
    at_transit = _transit_sine(frame, directions)
    for start, end in dark:
        for transit in (first_transit, first_transit + SIDEREAL_DAY):
            sine = np.where((transit >= start) & (transit <= end), at_transit, sine)
    return np.asarray(np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0))))


def _highest_between(frame: SkyFrame, directions: Floats, first: Floats, last: Floats) -> Floats:
    """Highest between two instants an object: at its transit, if that lies there, or at an end."""
    sines = [
        np.einsum("ij,ij->i", directions, frame.zenith(np.nan_to_num(instants)))
        for instants in (first, last)
    ]
    ends = np.where(np.isnan(first), np.nan, np.maximum(*sines))
    transit = _first_transit(frame, directions)
    passes = (transit >= first) & (transit <= last)
    transit += SIDEREAL_DAY
    passes |= (transit >= first) & (transit <= last)
    sine = np.where(passes, _transit_sine(frame, directions), ends)
    return np.asarray(np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0))))


def _transit_sine(frame: SkyFrame, directions: Floats) -> Floats:
    return np.asarray(np.cos(frame.latitude_rad - np.arcsin(np.clip(directions[:, 2], -1.0, 1.0))))


def _nearest(first_transit: Floats, first: Floats, last: Floats, frame: SkyFrame) -> Floats:
    """The transit of this night that is nearer to the middle of the window."""
    middle = np.where(np.isnan(first), (frame.start_mjd + frame.end_mjd) / 2.0, (first + last) / 2)
    second = first_transit + SIDEREAL_DAY
    second = np.where(second <= frame.end_mjd, second, np.inf)
    found = np.where(
        np.abs(second - middle) < np.abs(first_transit - middle), second, first_transit
    )
    return np.where(found <= frame.end_mjd, found, np.nan)
