"""The Moon during each object's window: how near, how long, how bright the sky is there."""

from dataclasses import dataclass

import numpy as np

from logbook.sky.altitude import sky_brightness
from logbook.sky.altitude.visibility import Spans, Windows
from logbook.sky.night.arrays import Bools, Floats
from logbook.sky.night.sky_frame import SkyFrame

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
    frame: SkyFrame,
    directions: Floats,
    found: Windows,
    dark: Spans,
    moon_up: Spans,
    min_altitude_deg: float,
) -> MoonView:
    """The Moon for objects (n, 3) in their windows, sampled every half hour and at both
    ends: separations to 0.02°, or to 0.3° where the Moon is nearest at the edge of a break.

    dark, moon_up -- spans (MJD) of darkness and of the Moon above the horizon, in order.
    min_altitude_deg -- the limit of the windows: while an object dips below it nothing counts.
    """
    columns = np.full((5, len(directions)), np.nan)
    chosen = np.flatnonzero(found.hours > 0.0)
    if chosen.size:
        first, last = found.first_mjd[chosen], found.last_mjd[chosen]
        there = np.ascontiguousarray(directions[chosen].T)
        moon = _moon(frame, dark, moon_up)
        part, middle = _time_with_moon(first, last, moon_up)
        columns[:2, chosen] = _nearest(moon, there, first, last, min_altitude_deg)
        columns[2, chosen] = part
        columns[3:, chosen] = _brightness(frame, moon, there, part, middle)
    return MoonView(*columns)


@dataclass(frozen=True, slots=True)
class _Moon:
    """The Moon over the darkness: direction (n, 3), phase angle, whether up; and the zenith."""

    mjd: Floats
    zenith: Floats
    direction: Floats
    phase_angle_deg: Floats
    up_spans: Spans

    def towards(self, instants: Floats) -> Floats:
        """Direction (3, m) at instants (m), along chords of half an hour."""
        return np.stack([np.interp(instants, self.mjd, axis) for axis in self.direction.T])

    def is_up(self, instants: Floats) -> Bools:
        up = np.zeros(instants.shape, dtype=np.bool_)
        for start, end in self.up_spans:
            up |= (instants >= start) & (instants <= end)
        return up


def _moon(frame: SkyFrame, dark: Spans, moon_up: Spans) -> _Moon:
    mjd = np.concatenate(
        [np.linspace(a, b, max(2, int(np.ceil((b - a) / _STEP)) + 1)) for a, b in dark]
    )
    sun, moon = frame.sun_moon(mjd)
    to_sun, distance = sun - moon, np.linalg.norm(moon, axis=1)
    cosine = -np.einsum("ij,ij->i", to_sun, moon) / (np.linalg.norm(to_sun, axis=1) * distance)
    return _Moon(mjd, frame.zenith(mjd), moon / distance[:, None], _degrees(cosine), moon_up)


def _nearest(
    moon: _Moon, there: Floats, first: Floats, last: Floats, min_altitude_deg: float
) -> tuple[Floats, Floats]:
    """Least separations from objects (3, n): at any time of the window, and with the Moon up."""
    least_sine = np.sin(np.radians(min_altitude_deg))
    anywhere = np.full_like(first, _NOT_THERE)
    with_moon = anywhere.copy()
    up = moon.is_up(moon.mjd)
    for instant, zenith, direction, is_up in zip(
        moon.mjd, moon.zenith, moon.direction, up, strict=True
    ):
        inside = (first <= instant) & (instant <= last) & (zenith @ there >= least_sine)
        cosine = np.where(inside, direction @ there, _NOT_THERE)
        np.maximum(anywhere, cosine, out=anywhere)
        if is_up:
            np.maximum(with_moon, cosine, out=with_moon)
    for instants in (first, last):
        cosine = np.einsum("ij,ij->j", moon.towards(instants), there)
        np.maximum(anywhere, cosine, out=anywhere)
        np.maximum(with_moon, np.where(moon.is_up(instants), cosine, _NOT_THERE), out=with_moon)
    return _degrees(anywhere), np.where(with_moon == _NOT_THERE, np.nan, _degrees(with_moon))


def _degrees(cosines: Floats) -> Floats:
    return np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0)))


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
    frame: SkyFrame, moon: _Moon, there: Floats, up_part: Floats, middle: Floats
) -> tuple[Floats, Floats]:
    """Moonless sky at objects (3, n) in the middle of their time with the Moon, and its light."""
    zenith_mag = frame.site.dark_sky_mag_arcsec2 or sky_brightness.DARK_SKY_MAG_ARCSEC2
    extinction = sky_brightness.extinction_mag(frame.site.elevation_m)
    zenith = frame.zenith(middle).T
    sine = np.einsum("ij,ij->j", there, zenith)
    light = np.zeros_like(sine)
    lit = np.flatnonzero(up_part > 0.0)
    if lit.size:
        towards = moon.towards(middle[lit])
        light[lit] = sky_brightness.moonlight_nl(
            np.interp(middle[lit], moon.mjd, moon.phase_angle_deg),
            _degrees(np.einsum("ij,ij->j", there[:, lit], towards)),
            sine[lit],
            np.einsum("ij,ij->j", zenith[:, lit], towards),
            extinction,
        )
    return sky_brightness.dark_sky_nl(sine, zenith_mag, extinction), light
