"""How high an object, the Moon and the Sun stand through a night."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from logbook.sky.altitude.airmass import airmass
from logbook.sky.catalogue.objects import SkyObject
from logbook.sky.framing.field_rotation import parallactic_deg, rotation_deg_h
from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.night import Night
from logbook.sky.night.site import Site, horizon_altitude_deg
from logbook.sky.night.sky_frame import SkyFrame, sky_frame

# Unit vectors (n, 3) in a frame's axes at instants (n).
DirectionsAt = Callable[[SkyFrame, Floats], Floats]


@dataclass(frozen=True, slots=True)
class AltitudeCurve:
    """Altitudes through a night, one value an instant; without refraction.

    instants -- aware UTC.
    horizon_deg -- the site's horizon below the object at that instant.
    airmass -- NaN below the horizon.
    parallactic_deg -- from the pole to the zenith, positive in the west.
    rotation_deg_h -- how fast the field turns on a driven alt-azimuth mount.
    """

    instants: tuple[datetime, ...]
    altitude_deg: tuple[float, ...]
    azimuth_deg: tuple[float, ...]
    horizon_deg: tuple[float, ...]
    moon_altitude_deg: tuple[float, ...]
    sun_altitude_deg: tuple[float, ...]
    moon_separation_deg: tuple[float, ...]
    airmass: tuple[float, ...]
    parallactic_deg: tuple[float, ...]
    rotation_deg_h: tuple[float, ...]


def fixed(thing: SkyObject) -> DirectionsAt:
    """Directions of what stands still among the stars."""

    def directions(frame: SkyFrame, mjd: Floats) -> Floats:
        there = frame.places(np.array([thing.ra_deg]), np.array([thing.dec_deg]))
        return np.broadcast_to(there, (len(mjd), 3))

    return directions


def altitude_curve(
    site: Site, thing: SkyObject, night: Night, *, step_minutes: float = 10.0
) -> AltitudeCurve:
    """The curve of one object from sunset to sunrise, or noon to noon where there is neither."""
    return curve_along(site, night, fixed(thing), step_minutes=step_minutes)


def curve_along(
    site: Site, night: Night, directions_at: DirectionsAt, *, step_minutes: float = 10.0
) -> AltitudeCurve:
    """The curve of anything whose directions are known, as `altitude_curve`."""
    start = night.sunset or night.noon_utc
    end = night.sunrise or night.next_noon_utc
    frame = sky_frame(site, night.noon_utc, night.next_noon_utc)
    mjd = np.array([earth.to_mjd(instant) for instant in _instants(start, end, step_minutes)])
    there = directions_at(frame, mjd)
    altitude, azimuth = altitude_azimuth_deg(frame, there, mjd)
    hour_angle = frame.meridian_rad(mjd) - np.arctan2(there[:, 1], there[:, 0])
    dec = np.degrees(np.arcsin(np.clip(there[:, 2], -1.0, 1.0)))
    latitude_deg = float(np.degrees(frame.latitude_rad))
    cosines = np.einsum("ij,ij->i", frame.moon_directions(mjd), there)
    return AltitudeCurve(
        instants=tuple(earth.to_instant(each) for each in mjd),
        altitude_deg=_plain(altitude),
        azimuth_deg=_plain(azimuth),
        horizon_deg=tuple(horizon_altitude_deg(site.horizon, float(each)) for each in azimuth),
        moon_altitude_deg=_plain(frame.moon_altitude_deg(mjd)),
        sun_altitude_deg=_plain(frame.sun_altitude_deg(mjd)),
        moon_separation_deg=_plain(np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0)))),
        airmass=_plain(np.where(altitude >= 0.0, airmass(altitude), np.nan)),
        parallactic_deg=_plain(parallactic_deg(np.degrees(hour_angle), dec, latitude_deg)),
        rotation_deg_h=_plain(rotation_deg_h(altitude, azimuth, latitude_deg)),
    )


def altitude_azimuth_deg(frame: SkyFrame, there: Floats, mjd: Floats) -> tuple[Floats, Floats]:
    """Altitude and azimuth of directions (n, 3) at their instants (n)."""
    sine = np.einsum("ij,ij->i", there, frame.zenith(mjd))
    north, east = (np.einsum("ij,ij->i", there, each) for each in frame.north_east(mjd))
    altitude = np.degrees(np.arcsin(np.clip(sine, -1.0, 1.0)))
    return np.asarray(altitude), np.asarray(np.degrees(np.arctan2(east, north)) % 360.0)


def _instants(start: datetime, end: datetime, step_minutes: float) -> list[datetime]:
    count = max(2, round((end - start) / timedelta(minutes=step_minutes)) + 1)
    return [start + (end - start) * (i / (count - 1)) for i in range(count)]


def _plain(values: Floats) -> tuple[float, ...]:
    return tuple(values.tolist())
