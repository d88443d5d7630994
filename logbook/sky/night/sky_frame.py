"""One night's sky over one site: directions of date, altitudes, Sun and Moon."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

import numpy as np

from logbook.sky.night import bodies, earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.site import Site

MOON_RADIUS_AU = 1737.4e3 / earth.AU_M


@dataclass(frozen=True)
class SkyFrame:
    """The turning Earth under the stars from one noon to the next. Made by `sky_frame`.

    Directions are unit vectors in the celestial intermediate frame of the middle of the night;
    the frame's own motion within the night is under 0.1″. Altitudes are without refraction, over
    the horizon of the WGS 84 ellipsoid.
    """

    site: Site
    start_mjd: float
    end_mjd: float
    orientation: earth.Orientation
    course: bodies.Course

    @cached_property
    def _zenith(self) -> Floats:
        return self.orientation.terrestrial(earth.zenith_itrs(self.site))

    @cached_property
    def _position_au(self) -> Floats:
        return self.orientation.terrestrial(earth.position_itrs_au(self.site))

    @cached_property
    def latitude_rad(self) -> float:
        """Latitude of the zenith, polar motion included."""
        return float(np.arcsin(self._zenith[2]))

    def meridian_rad(self, mjd: Floats | float) -> Floats:
        """Right ascension (from the intermediate origin) on the meridian at instants."""
        longitude = np.arctan2(self._zenith[1], self._zenith[0])
        return np.asarray(self.orientation.rotation_rad(mjd) + longitude)

    def zenith(self, mjd: Floats) -> Floats:
        """Direction of the zenith at instants (n): (n, 3)."""
        return _turned(self._zenith, self.orientation.rotation_rad(np.atleast_1d(mjd)))

    def north_east(self, mjd: Floats) -> tuple[Floats, Floats]:
        """Directions of the north and east points of the horizon at instants (n): (n, 3) each."""
        meridian = self.meridian_rad(np.atleast_1d(mjd))
        sine, cosine = np.sin(meridian), np.cos(meridian)
        s, c = np.sin(self.latitude_rad), np.cos(self.latitude_rad)
        north = np.stack([-s * cosine, -s * sine, np.full_like(sine, c)], axis=-1)
        return north, np.stack([-sine, cosine, np.zeros_like(sine)], axis=-1)

    def apparent(self, unit_icrs: Floats) -> Floats:
        """Apparent directions (n, 3) of catalogue directions (n, 3), ICRS without proper motion.

        The site's own motion (0.3″) is left out.
        """
        tt = float(self.orientation.tt_jd(self.orientation.mjd))
        return np.asarray(bodies.stars_seen(unit_icrs, tt) @ self.orientation.to_date.T)

    def places(self, ra_deg: Floats, dec_deg: Floats) -> Floats:
        """Apparent directions (n, 3) of catalogue places, ICRS without proper motion."""
        ra, dec = np.radians(ra_deg), np.radians(dec_deg)
        axes = (np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec))
        return self.apparent(np.stack(axes, axis=-1))

    def altitudes_deg(self, directions: Floats, mjd: Floats) -> Floats:
        """Altitudes (objects, instants) of directions (objects, 3)."""
        sines = directions @ self.zenith(mjd).T
        return np.asarray(np.degrees(np.arcsin(np.clip(sines, -1.0, 1.0))))

    def azimuths_deg(self, directions: Floats, mjd: Floats) -> Floats:
        """Azimuths (objects, instants) of directions (objects, 3), north 0, east 90."""
        north, east = self.north_east(mjd)
        angles = np.arctan2(directions @ east.T, directions @ north.T)
        return np.asarray(np.degrees(angles) % 360.0)

    def site_au(self, mjd: Floats) -> Floats:
        """Vectors (n, 3) in AU from the centre of the Earth to the site."""
        return _turned(self._position_au, self.orientation.rotation_rad(np.atleast_1d(mjd)))

    def sun_moon(self, mjd: Floats) -> tuple[Floats, Floats]:
        """Vectors (n, 3) in AU from the site to the Sun and to the Moon."""
        sun, moon = self.course.at(mjd)
        here = self.site_au(mjd)
        return sun - here, moon - here

    def moon_directions(self, mjd: Floats) -> Floats:
        """Unit vectors (n, 3) from the site to the Moon."""
        return _unit(self.sun_moon(mjd)[1])

    def sun_altitude_deg(self, mjd: Floats) -> Floats:
        """Altitude of the Sun's centre at instants (n)."""
        return self._altitude(_unit(self.sun_moon(mjd)[0]), mjd)

    def moon_altitude_deg(self, mjd: Floats) -> Floats:
        """Altitude of the Moon's centre, seen from the site, at instants (n)."""
        return self._altitude(self.moon_directions(mjd), mjd)

    def moon_upper_limb_deg(self, mjd: Floats) -> Floats:
        """Altitude of the Moon's upper limb, seen from the site, at instants (n)."""
        moon = self.sun_moon(mjd)[1]
        distance = np.linalg.norm(moon, axis=-1)
        limb = np.degrees(np.arcsin(MOON_RADIUS_AU / distance))
        return np.asarray(self._altitude(moon / distance[:, None], mjd) + limb)

    def _altitude(self, directions: Floats, mjd: Floats) -> Floats:
        sines = np.einsum("ij,ij->i", directions, self.zenith(mjd))
        return np.asarray(np.degrees(np.arcsin(np.clip(sines, -1.0, 1.0))))


def sky_frame(site: Site, noon_utc: datetime, next_noon_utc: datetime) -> SkyFrame:
    """The sky of one night, about a millisecond to make."""
    start, end = earth.to_mjd(noon_utc), earth.to_mjd(next_noon_utc)
    orientation = earth.orientation((start + end) / 2.0)
    return SkyFrame(site, start, end, orientation, bodies.course(orientation, start, end))


def _turned(vector: Floats, angle_rad: Floats) -> Floats:
    """A vector turned about the pole by angles (n): (n, 3)."""
    sine, cosine = np.sin(angle_rad), np.cos(angle_rad)
    x, y, z = vector
    return np.stack([x * cosine - y * sine, x * sine + y * cosine, np.full_like(sine, z)], axis=-1)


def _unit(vectors: Floats) -> Floats:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))
