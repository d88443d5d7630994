"""Questions about nights that were: dark hours of many at once, and one object through a run."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from logbook.sky.altitude.airmass import airmass
from logbook.sky.night import almanac, earth
from logbook.sky.night.clock import night_span, zone_of
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import sky_frame

_J2000_DAY = date(2000, 1, 1).toordinal()  # its noon is the epoch
_DARK_SINE = float(np.sin(np.radians(18.0)))


def dark_hours(site: Site, nights: Sequence[date]) -> tuple[float, ...]:
    """Hours of astronomical darkness (Sun below −18°) of each night, good to about a minute.

    The Sun stands at its place of local midnight all night. Source: The Astronomical Almanac,
    section C, "low precision formulas for the Sun" (0.01° from 1950 to 2050); the hour angle at an
    altitude, Meeus 1998, ch. 15, eq. 15.1.
    """
    days = np.array([each.toordinal() - _J2000_DAY for each in nights], dtype=np.float64)
    days += 0.5 - site.longitude_deg / 360.0  # to local midnight, from noon of 1 January 2000
    longitude = 280.460 + 0.9856474 * days
    anomaly = np.radians(357.528 + 0.9856003 * days)
    ecliptic = np.radians(longitude + 1.915 * np.sin(anomaly) + 0.020 * np.sin(2.0 * anomaly))
    tilt = np.radians(23.439 - 4e-7 * days)
    sine = np.sin(tilt) * np.sin(ecliptic)
    latitude = np.radians(site.latitude_deg)
    above = np.sin(latitude) * sine + _DARK_SINE
    cosine = above / np.maximum(np.cos(latitude) * np.sqrt(1.0 - sine**2), 1e-12)
    half = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return tuple((2.0 * half / 15.0).tolist())


@dataclass(frozen=True, slots=True)
class Through:
    """An object and the Moon at some instants, means over them; angles in degrees.

    moon_up -- the part of the instants with the Moon above the horizon.
    moon_separation_deg -- the least one with the Moon up; None if it never is.
    """

    altitude_deg: float
    lowest_deg: float
    highest_deg: float
    airmass: float
    moon_up: float
    moon_separation_deg: float | None


def object_through(
    site: Site, night: date, ra_deg: float, dec_deg: float, instants: Sequence[datetime]
) -> Through:
    """One object at instants of a night (at least one). Raises BadInput for a date out of reach."""
    frame = sky_frame(site, *night_span(zone_of(site.time_zone), night))
    mjd = np.array([earth.to_mjd(each) for each in instants])
    there = frame.places(np.array([ra_deg]), np.array([dec_deg]))
    altitudes = frame.altitudes_deg(there, mjd)[0]
    moon_up = frame.moon_altitude_deg(mjd) > 0.0
    cosines = np.clip(frame.moon_directions(mjd) @ there[0], -1.0, 1.0)
    separations = np.degrees(np.arccos(cosines))[moon_up]
    return Through(
        altitude_deg=float(altitudes.mean()),
        lowest_deg=float(altitudes.min()),
        highest_deg=float(altitudes.max()),
        airmass=float(np.mean(airmass(np.maximum(altitudes, 0.0)))),
        moon_up=float(moon_up.mean()),
        moon_separation_deg=float(separations.min()) if separations.size else None,
    )


class PastSky:
    """The functions, for what imports them when they are first needed."""

    night = staticmethod(almanac.night)
    object_through = staticmethod(object_through)
