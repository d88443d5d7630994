"""One object through a year: the hours each night has for it."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from logbook.sky.altitude.year_nights import YearNights, year_nights
from logbook.sky.catalogue.objects import SkyObject
from logbook.sky.limits.limits import Limits
from logbook.sky.night.arrays import Floats
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.night.skyline import Skyline

_LOOKS = 1440  # a turn of the sky


@dataclass(frozen=True, slots=True)
class YearAhead:
    """A value a night, in order of date.

    hours -- in darkness above the limit and the horizon.
    moonless_hours -- those of them with the Moon below the horizon.
    sun_below_deg -- what was counted as dark: -18, or -12 where that does not last; None where
        neither does.
    best -- the first night with as many moonless hours as any (hours, where none is moonless);
        None if no night has any.
    words -- what is unusual.
    """

    dates: tuple[date, ...]
    hours: tuple[float, ...]
    moonless_hours: tuple[float, ...]
    sun_below_deg: tuple[float | None, ...]
    best: date | None
    words: tuple[str, ...]


def year_ahead(
    site: Site,
    thing: SkyObject,
    first_date: date,
    limits: Limits | None = None,
    *,
    nights: int = 365,
) -> YearAhead:
    """The nights from a date on for one object. Raises BadInput.

    Good to some seconds; only an object that just grazes the limit is less certain.
    """
    wanted = limits or Limits()
    year = year_nights(site, first_date, nights)
    clear = _ClearTurn.of(year.frame, thing, wanted.min_altitude_deg)
    dark, depth = _darkness(year, wanted.min_hours)
    hours, moonless = _hours(year, clear, dark)
    best = int(np.argmax(moonless if np.any(moonless > 0.0) else hours))
    return YearAhead(
        dates=year.dates,
        hours=tuple(hours.tolist()),
        moonless_hours=tuple(moonless.tolist()),
        sun_below_deg=tuple(None if np.isnan(each) else float(each) for each in depth),
        best=year.dates[best] if hours[best] > 0.0 else None,
        words=tuple(_words(clear, wanted, hours, depth)),
    )


def _darkness(year: YearNights, min_hours: float) -> tuple[Floats, Floats]:
    """Spans and depth of what counts as dark, by the same rule as for one night (`darkness`)."""
    both = (year.astronomical, year.nautical)
    deep, shallow = (np.diff(each, axis=2).sum(axis=(1, 2)) * 24.0 for each in both)
    nautical = ((deep <= 0.0) | (deep < min_hours)) & (shallow > 0.0) & (shallow >= min_hours)
    depth = np.where(nautical, -12.0, np.where(deep > 0.0, -18.0, np.nan))
    return np.where(nautical[:, None, None], year.nautical, year.astronomical), depth


@dataclass(frozen=True)
class _ClearTurn:
    """Where in a turn of the sky an object stands clear: radians of it, gathered with hour angle.

    Hours between any two instants are then a difference, whatever the horizon looks like.
    """

    frame: SkyFrame
    right_ascension_rad: float
    hour_angles: Floats
    gathered: Floats

    @classmethod
    def of(cls, frame: SkyFrame, thing: SkyObject, min_altitude_deg: float) -> "_ClearTurn":
        there = frame.places(np.array([thing.ra_deg]), np.array([thing.dec_deg]))[0]
        angles = np.linspace(0.0, 2.0 * np.pi, _LOOKS + 1)
        altitude, azimuth = _altitude_azimuth(frame.latitude_rad, float(there[2]), angles)
        skyline = Skyline.over(frame.site.horizon, min_altitude_deg)
        needed = skyline.lowest_deg if skyline.is_flat else skyline.at(azimuth)
        steps = _share_above(altitude - needed) * (angles[1] - angles[0])
        gathered = np.concatenate([[0.0], np.cumsum(steps)])
        return cls(frame, float(np.arctan2(there[1], there[0])), angles, gathered)

    @property
    def share(self) -> float:
        """Of the whole turn."""
        return float(self.gathered[-1] / (2.0 * np.pi))

    def hours_until(self, mjd: Floats) -> Floats:
        """Clear hours gathered at instants since some instant before all."""
        angle = self.frame.meridian_rad(mjd) - self.right_ascension_rad
        turns = np.floor(angle / (2.0 * np.pi))
        within = np.interp(angle - 2.0 * np.pi * turns, self.hour_angles, self.gathered)
        rate = (self.frame.meridian_rad(1.0) - self.frame.meridian_rad(0.0)) / 24.0
        return np.asarray((turns * self.gathered[-1] + within) / rate)


def _share_above(margins: Floats) -> Floats:
    """Share of each step between two values that lies at or above 0, by straight lines."""
    left, right = margins[:-1], margins[1:]
    crossing = np.maximum(left, right) / np.maximum(np.abs(right - left), 1e-12)
    inside = (left >= 0.0) == (right >= 0.0)
    return np.where(inside, left >= 0.0, np.clip(crossing, 0.0, 1.0))


def _altitude_azimuth(
    latitude_rad: float, sine_dec: float, hour_angle: Floats
) -> tuple[Floats, Floats]:
    """Degrees, azimuth from north over east. Source: Meeus 1998, ch. 13, eq. 13.5 and 13.6."""
    cosine_dec = np.sqrt(1.0 - sine_dec**2)
    s, c = np.sin(latitude_rad), np.cos(latitude_rad)
    sine = s * sine_dec + c * cosine_dec * np.cos(hour_angle)
    north = c * sine_dec - s * cosine_dec * np.cos(hour_angle)
    east = -cosine_dec * np.sin(hour_angle)
    altitude = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
    return np.asarray(altitude), np.asarray(np.degrees(np.arctan2(east, north)) % 360.0)


def _hours(year: YearNights, clear: _ClearTurn, dark: Floats) -> tuple[Floats, Floats]:
    """Clear dark hours of each night, and those without the Moon."""
    edges = np.clip(year.moon_edges[:, None, :], dark[:, :, :1], dark[:, :, 1:])
    pieces = np.diff(clear.hours_until(edges), axis=2).sum(axis=1)
    return pieces.sum(axis=1), np.sum(pieces, axis=1, where=year.moon_down)


def _words(clear: _ClearTurn, limits: Limits, hours: Floats, depth: Floats) -> list[str]:
    over = f"{limits.min_altitude_deg:g}°"
    if clear.frame.site.horizon:
        over += " and the horizon"
    if clear.share == 0.0:
        return [f"It never stands above {over} here."]
    words = []
    if clear.share > 1.0 - 1e-9:
        words.append(f"It never sinks below {over} here.")
    if not np.any(hours > 0.0):
        words.append("It is never up in darkness in this time.")
    bright = int(np.count_nonzero(np.isnan(depth)))
    twilight = int(np.count_nonzero(depth == -12.0))
    if bright:
        words.append(f"{bright} nights do not get dark.")
    if twilight:
        words.append(f"In {twilight} nights hours are counted with the Sun below −12°.")
    return words
