"""The Moon during each object's window: how near, how long, how bright the sky is there."""

from dataclasses import dataclass

import numpy as np

from logbook.sky import moonlit_sky
from logbook.sky.arrays import Bools, Floats
from logbook.sky.frame import SkyFrame
from logbook.sky.visibility import Spans, Windows

_STEP = 30.0 / 1440.0
_NOT_THERE = -2.0  # below every cosine


@dataclass(frozen=True, slots=True)
class MoonView:
    """What the Moon does to each object in its window; NaN where there is no window.

    nearest_deg -- least separation in the window, seen from the site, Moon up or not.
    nearest_up_deg -- least separation while the Moon is up; NaN if it is not.
    up_part -- part of the window with the Moon up, 0 to 1.
    dark_nl, moon_nl -- brightness of the moonless sky there and what the Moon adds to it, in
        nanolamberts, in the middle of the time with the Moon up (0 added if it is not).
    """

    nearest_deg: Floats
    nearest_up_deg: Floats
    up_part: Floats
    dark_nl: Floats
    moon_nl: Floats


def moon_view(
    frame: SkyFrame, directions: Floats, found: Windows, dark: Spans, moon_up: Spans
) -> MoonView:
    """The Moon for objects (n, 3) in their windows, sampled every half hour and at both
    ends: separations to 0.01° unless the Moon passes within 1°.

    dark, moon_up -- spans (MJD) of darkness and of the Moon above the horizon, in order.
    """
    columns = np.full((5, len(directions)), np.nan)
    chosen = np.flatnonzero(found.hours > 0.0)
    if chosen.size:
        first, last = found.first_mjd[chosen], found.last_mjd[chosen]
        there = directions[chosen]
        columns[0, chosen], columns[1, chosen] = _nearest(frame, there, first, last, dark, moon_up)
        part, middle = _time_with_moon(first, last, moon_up)
        columns[2, chosen] = part
        columns[3, chosen], columns[4, chosen] = _brightness(frame, there, part, middle)
    return MoonView(*columns)


def _nearest(
    frame: SkyFrame, there: Floats, first: Floats, last: Floats, dark: Spans, moon_up: Spans
) -> tuple[Floats, Floats]:
    grid = np.concatenate(
        [np.linspace(a, b, max(2, int(np.ceil((b - a) / _STEP)) + 1)) for a, b in dark]
    )
    cosines = frame.moon_directions(grid) @ there.T
    at_first, at_last = _between(grid, cosines, first), _between(grid, cosines, last)
    inside = (grid[:, None] >= first) & (grid[:, None] <= last)
    cosines[~inside] = _NOT_THERE
    anywhere = np.maximum(cosines.max(axis=0), np.maximum(at_first, at_last))
    with_moon = cosines.max(axis=0, where=_within(grid, moon_up)[:, None], initial=_NOT_THERE)
    for instants, at_end in ((first, at_first), (last, at_last)):
        at_end[~_within(instants, moon_up)] = _NOT_THERE
        with_moon = np.maximum(with_moon, at_end)
    return _degrees(anywhere), np.where(with_moon == _NOT_THERE, np.nan, _degrees(with_moon))


def _degrees(cosines: Floats) -> Floats:
    return np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0)))


def _between(grid: Floats, values: Floats, instants: Floats) -> Floats:
    """Values (grid, objects) at one instant per object, along straight lines."""
    right = np.clip(np.searchsorted(grid, instants), 1, len(grid) - 1)
    part = (instants - grid[right - 1]) / (grid[right] - grid[right - 1])
    columns = np.arange(len(instants))
    return np.asarray(values[right - 1, columns] * (1.0 - part) + values[right, columns] * part)


def _within(instants: Floats, spans: Spans) -> Bools:
    inside = np.zeros(instants.shape, dtype=np.bool_)
    for start, end in spans:
        inside |= (instants >= start) & (instants <= end)
    return inside


def _time_with_moon(first: Floats, last: Floats, moon_up: Spans) -> tuple[Floats, Floats]:
    """Part of each window with the Moon up, and the middle of the longest such stretch."""
    total, longest = np.zeros_like(first), np.zeros_like(first)
    middle = (first + last) / 2.0
    for start, end in moon_up:
        begins, ends = np.maximum(first, start), np.minimum(last, end)
        shared = np.maximum(ends - begins, 0.0)
        total += shared
        middle = np.where(shared > longest, (begins + ends) / 2.0, middle)
        longest = np.maximum(longest, shared)
    return np.clip(total / np.maximum(last - first, 1e-9), 0.0, 1.0), middle


def _brightness(
    frame: SkyFrame, there: Floats, up_part: Floats, middle: Floats
) -> tuple[Floats, Floats]:
    site = frame.site
    zenith_mag = site.dark_sky_mag_arcsec2 or moonlit_sky.DARK_SKY_MAG_ARCSEC2
    extinction = moonlit_sky.extinction_mag(site.elevation_m)
    sun, moon = frame.sun_moon(middle)
    zenith = frame.zenith(middle)
    distance = np.linalg.norm(moon, axis=1)
    sine = np.einsum("ij,ij->i", there, zenith)
    sine_moon = np.einsum("ij,ij->i", moon, zenith) / distance
    cosine = np.einsum("ij,ij->i", there, moon) / distance
    from_moon = sun - moon
    phase = np.degrees(
        np.arccos(
            np.clip(
                -np.einsum("ij,ij->i", from_moon, moon)
                / (np.linalg.norm(from_moon, axis=1) * distance),
                -1.0,
                1.0,
            )
        )
    )
    dark = moonlit_sky.dark_sky_nl(sine, zenith_mag, extinction)
    light = moonlit_sky.moonlight_nl(phase, _degrees(cosine), sine, sine_moon, extinction)
    return dark, np.where(up_part > 0.0, light, 0.0)
