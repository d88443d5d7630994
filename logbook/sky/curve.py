"""How high an object, the Moon and the Sun stand through a night."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from logbook.sky import earth
from logbook.sky.arrays import Floats
from logbook.sky.catalogue import SkyObject
from logbook.sky.frame import SkyFrame, sky_frame
from logbook.sky.night import Night
from logbook.sky.place import Site, horizon_altitude_deg


@dataclass(frozen=True, slots=True)
class AltitudeCurve:
    """Altitudes through a night, one value an instant; without refraction.

    instants -- aware UTC.
    horizon_deg -- the site's horizon below the object at that instant.
    """

    instants: tuple[datetime, ...]
    altitude_deg: tuple[float, ...]
    azimuth_deg: tuple[float, ...]
    horizon_deg: tuple[float, ...]
    moon_altitude_deg: tuple[float, ...]
    sun_altitude_deg: tuple[float, ...]
    moon_separation_deg: tuple[float, ...]


def altitude_curve(
    site: Site, thing: SkyObject, night: Night, *, step_minutes: float = 10.0
) -> AltitudeCurve:
    """The curve of one object from sunset to sunrise, or noon to noon where there is neither."""
    start = night.sunset or night.noon_utc
    end = night.sunrise or night.next_noon_utc
    frame = sky_frame(site, night.noon_utc, night.next_noon_utc)
    mjd = np.array([earth.to_mjd(instant) for instant in _instants(start, end, step_minutes)])
    there = frame.places(np.array([thing.ra_deg]), np.array([thing.dec_deg]))
    azimuths = frame.azimuths_deg(there, mjd)[0]
    cosines = np.clip(frame.moon_directions(mjd) @ there[0], -1.0, 1.0)
    return AltitudeCurve(
        instants=tuple(earth.to_instant(each) for each in mjd),
        altitude_deg=_plain(frame.altitudes_deg(there, mjd)[0]),
        azimuth_deg=_plain(azimuths),
        horizon_deg=tuple(horizon_altitude_deg(site.horizon, float(each)) for each in azimuths),
        moon_altitude_deg=_plain(frame.moon_altitude_deg(mjd)),
        sun_altitude_deg=_plain(frame.sun_altitude_deg(mjd)),
        moon_separation_deg=_plain(np.degrees(np.arccos(cosines))),
    )


def sun_and_moon_altitudes(
    site: Site, instants: Sequence[datetime]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Altitudes of the centres of Sun and Moon at aware instants within one day, in any order."""
    if not instants:
        return (), ()
    mjd = np.array([earth.to_mjd(instant) for instant in instants])
    frame = _frame_around(site, instants)
    return _plain(frame.sun_altitude_deg(mjd)), _plain(frame.moon_altitude_deg(mjd))


def _frame_around(site: Site, instants: Sequence[datetime]) -> SkyFrame:
    hour = timedelta(hours=1)
    return sky_frame(site, min(instants) - hour, max(instants) + hour)


def _instants(start: datetime, end: datetime, step_minutes: float) -> list[datetime]:
    count = max(2, round((end - start) / timedelta(minutes=step_minutes)) + 1)
    return [start + (end - start) * (i / (count - 1)) for i in range(count)]


def _plain(values: Floats) -> tuple[float, ...]:
    return tuple(values.tolist())
