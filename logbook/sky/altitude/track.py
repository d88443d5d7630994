"""Where one object stands through a night, to be asked every few seconds without any mathematics.

The track is computed once, in a worker; between its instants values are read off straight lines.
"""

from bisect import bisect_right
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from logbook.sky.altitude.airmass import airmass
from logbook.sky.altitude.curve import altitude_azimuth_deg
from logbook.sky.altitude.ephemeris import Mover
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Floats
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.night.skyline import Skyline

_STEP = timedelta(minutes=2)


@dataclass(frozen=True, slots=True)
class Standing:
    """An object at one instant. Degrees; without refraction.

    airmass -- 1 at the zenith; without meaning below the horizon.
    margin_deg -- above the limit, or above the site's horizon where that is higher.
    """

    altitude_deg: float
    airmass: float
    margin_deg: float
    moon_separation_deg: float
    moon_is_up: bool


@dataclass(frozen=True, slots=True)
class Track:
    """One object from noon to noon, every two minutes.

    transits_utc -- upper crossings of the meridian; none, one or two.
    sets_utc, rises_utc -- when it goes below and above the limit or the site's horizon.
    """

    start_utc: datetime
    standings: tuple[Standing, ...]
    transits_utc: tuple[datetime, ...]
    sets_utc: tuple[datetime, ...]
    rises_utc: tuple[datetime, ...]

    def at(self, instant: datetime) -> Standing | None:
        """Where it stands; None outside this night."""
        steps = (instant - self.start_utc) / _STEP
        place = int(steps)
        if steps < 0.0 or place + 1 >= len(self.standings):
            return None
        one, other, part = self.standings[place], self.standings[place + 1], steps - place
        return Standing(
            _between(one.altitude_deg, other.altitude_deg, part),
            _between(one.airmass, other.airmass, part),
            _between(one.margin_deg, other.margin_deg, part),
            _between(one.moon_separation_deg, other.moon_separation_deg, part),
            one.moon_is_up,
        )

    def transit_near(self, instant: datetime) -> datetime | None:
        """The crossing of the meridian nearest to an instant."""
        return min(self.transits_utc, key=lambda each: abs(each - instant), default=None)

    def next_set(self, instant: datetime) -> datetime | None:
        """When it goes below its horizon next; None if it does not in this night."""
        place = bisect_right(self.sets_utc, instant)
        return self.sets_utc[place] if place < len(self.sets_utc) else None


def _between(one: float, other: float, part: float) -> float:
    return one + (other - one) * part


def track_of(
    site: Site,
    place_j2000_deg: tuple[float, float] | None,
    body: str,
    local_date: date,
    limit_deg: float,
) -> Track:
    """The track of an object of the catalogue, or of the Moon or a planet, in the night of a date.

    place_j2000_deg -- right ascension and declination; None for what moves, which `body` names.
    Raises BadInput for a date, NotFound for a body.
    """
    night, frame = night_and_frame(site, local_date)
    count = round((night.next_noon_utc - night.noon_utc) / _STEP) + 1
    instants = [night.noon_utc + _STEP * place for place in range(count)]
    mjd = np.array([earth.to_mjd(each) for each in instants])
    there = _directions(frame, place_j2000_deg, body, mjd)
    altitude, azimuth = altitude_azimuth_deg(frame, there, mjd)
    skyline = Skyline.over(site.horizon, limit_deg)
    lowest = skyline.lowest_deg if skyline.is_flat else skyline.at(azimuth)
    margin = altitude - lowest
    hour_angle = frame.meridian_rad(mjd) - np.arctan2(there[:, 1], there[:, 0])
    behind = (hour_angle + np.pi) % (2.0 * np.pi) - np.pi
    cosines = np.einsum("ij,ij->i", frame.moon_directions(mjd), there)
    separation = np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0)))
    moon_is_up = frame.moon_altitude_deg(mjd) > 0.0
    rows = zip(altitude, airmass(altitude), margin, separation, moon_is_up, strict=True)
    return Track(
        start_utc=night.noon_utc,
        standings=tuple(_standing(*each) for each in rows),
        transits_utc=_upward(instants, behind),
        sets_utc=_upward(instants, -margin),
        rises_utc=_upward(instants, margin),
    )


def _standing(altitude: float, air: float, margin: float, moon: float, up: bool) -> Standing:
    return Standing(float(altitude), float(air), float(margin), float(moon), bool(up))


def _directions(
    frame: SkyFrame, place_j2000_deg: tuple[float, float] | None, body: str, mjd: Floats
) -> Floats:
    if place_j2000_deg is None:
        return Mover(frame, body).directions(mjd)
    ra_deg, dec_deg = place_j2000_deg
    there = frame.places(np.array([ra_deg]), np.array([dec_deg]))
    return np.broadcast_to(there, (len(mjd), 3))


def _upward(instants: list[datetime], values: Floats) -> tuple[datetime, ...]:
    """Where values go from below zero to above it; a leap down (of an angle) is none."""
    places = np.flatnonzero((values[:-1] < 0.0) & (values[1:] >= 0.0))
    parts = values[places] / (values[places] - values[places + 1])
    return tuple(
        instants[int(place)] + _STEP * float(part)
        for place, part in zip(places, parts, strict=True)
    )
