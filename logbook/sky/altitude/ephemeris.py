"""The Moon and the planets as objects to choose, though they move among the stars."""

from datetime import datetime

import erfa
import numpy as np

from logbook.errors import NotFound
from logbook.sky.catalogue.objects import SkyObject
from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.bodies import LIGHT_AU_A_DAY
from logbook.sky.night.intervals import Interval
from logbook.sky.night.level_crossings import passages
from logbook.sky.night.moon_phase import moon_phase
from logbook.sky.night.sky_frame import MOON_RADIUS_AU, SkyFrame
from logbook.sky.night.skyline import Skyline
from logbook.sky.solar_system.appearance import planet_look
from logbook.sky.solar_system.positions import PLANETS, PlanetCourse, planet_course

BODIES = ("Moon", *PLANETS)
# The full Moon as far as it is on the average. Source: Allen 1973, Astrophysical Quantities, from
# memory; with phase as Krisciunas & Schaefer 1991, PASP 103, 1033, eq. 9 have it.
_FULL_MOON_MAG = -12.73


class Mover:
    """One body through one night: where it is seen from the site."""

    def __init__(self, frame: SkyFrame, name: str) -> None:
        """Raises NotFound for a name that is none of BODIES."""
        if name not in BODIES:
            raise NotFound(f"There is no such body to follow: {', '.join(BODIES)}.")
        self.frame = frame
        self.name = name
        self._course: PlanetCourse | None = None if name == "Moon" else planet_course(frame, name)

    def vectors_au(self, mjd: Floats) -> Floats:
        """Vectors (n, 3) in AU from the site, in the frame's axes."""
        if self._course is None:
            return self.frame.sun_moon(mjd)[1]
        return self._course.at(mjd) - self.frame.site_au(mjd)

    def directions(self, mjd: Floats) -> Floats:
        """Unit vectors (n, 3) from the site at instants (n)."""
        vectors = self.vectors_au(mjd)
        return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))

    def altitude_deg(self, mjd: Floats) -> Floats:
        """Altitudes (n) at instants (n), without refraction."""
        sines = np.einsum("ij,ij->i", self.directions(mjd), self.frame.zenith(mjd))
        return np.asarray(np.degrees(np.arcsin(np.clip(sines, -1.0, 1.0))))

    def azimuth_deg(self, mjd: Floats) -> Floats:
        """Azimuths (n) at instants (n), north 0, east 90."""
        there = self.directions(mjd)
        north, east = (np.einsum("ij,ij->i", there, each) for each in self.frame.north_east(mjd))
        return np.asarray(np.degrees(np.arctan2(east, north)) % 360.0)

    def spans_above(self, min_altitude_deg: float) -> tuple[Interval, ...]:
        """When it stands above a limit, and above the site's horizon where that is higher."""
        skyline = Skyline.over(self.frame.site.horizon, min_altitude_deg)

        def margin(mjd: Floats) -> Floats:
            if skyline.is_flat:
                return self.altitude_deg(mjd) - skyline.lowest_deg
            return self.altitude_deg(mjd) - skyline.at(self.azimuth_deg(mjd))

        found = passages(margin, self.frame.start_mjd, self.frame.end_mjd, (0.0,))
        spans = found.spans(0, 0.0, above=True)
        return tuple(Interval(earth.to_instant(a), earth.to_instant(b)) for a, b in spans)

    def highest(self, spans: tuple[Interval, ...]) -> tuple[float, datetime] | None:
        """Highest altitude within spans and when, to a few minutes; None without any."""
        if not spans:
            return None
        edges = [(earth.to_mjd(each.start), earth.to_mjd(each.end)) for each in spans]
        mjd = np.concatenate(
            [np.linspace(a, b, 1 + max(2, round((b - a) * 480))) for a, b in edges]
        )
        altitudes = self.altitude_deg(mjd)
        at = int(np.argmax(altitudes))
        return float(altitudes[at]), earth.to_instant(mjd[at])

    def place_j2000(self, mjd: float) -> tuple[float, float]:
        """Right ascension and declination as a chart of 2000.0 has them, degrees.

        `SkyFrame.places` leads from them back to where it is seen, to 0.5″.
        """
        direction = self.directions(np.array([mjd]))[0] @ self.frame.orientation.to_date
        tt = float(self.frame.orientation.tt_jd(mjd))
        velocity = erfa.epv00(earth.MJD_JD, tt)[1]["v"]
        still = direction - velocity / LIGHT_AU_A_DAY
        ra, dec = np.arctan2(still[1], still[0]), np.arcsin(still[2] / np.linalg.norm(still))
        return float(np.degrees(ra) % 360.0), float(np.degrees(dec))


def body_object(frame: SkyFrame, name: str, at: datetime) -> SkyObject:
    """One of BODIES as an object of the catalogue, as it is at an instant. Raises NotFound."""
    mover, mjd = Mover(frame, name), earth.to_mjd(at)
    ra_deg, dec_deg = mover.place_j2000(mjd)
    if name == "Moon":
        distance = float(np.linalg.norm(mover.vectors_au(np.array([mjd]))))
        arcsec = 2.0 * float(np.degrees(np.arcsin(MOON_RADIUS_AU / distance))) * 3600.0
        magnitude = _moon_magnitude(mjd)
    else:
        look = planet_look(frame, name, mjd)
        arcsec, magnitude = look.diameter_arcsec, look.magnitude
    return SkyObject(
        id=name,
        kind="moon" if name == "Moon" else "planet",
        name=name,
        constellation=constellation_at(ra_deg, dec_deg),
        ra_deg=ra_deg,
        dec_deg=dec_deg,
        major_arcmin=arcsec / 60.0,
        minor_arcmin=arcsec / 60.0,
        position_angle_deg=None,
        magnitude=magnitude,
        magnitude_band="V",
        surface_brightness_mag_arcsec2=None,
        aliases=(),
    )


def constellation_at(ra_deg: float, dec_deg: float) -> str:
    """Short name of the constellation at a place of 2000.0. Boundaries: Roman 1987, in astropy."""
    return constellations_at([ra_deg], [dec_deg])[0]


def constellations_at(ra_deg: list[float], dec_deg: list[float]) -> list[str]:
    """The same for several places at once."""
    from astropy.coordinates import SkyCoord, get_constellation

    places = SkyCoord(ra_deg, dec_deg, unit="deg")
    return [str(short) for short in get_constellation(places, short_name=True)]


def _moon_magnitude(mjd: float) -> float:
    phase_angle = abs(180.0 - moon_phase(mjd).elongation_deg)
    return float(_FULL_MOON_MAG + 0.026 * phase_angle + 4e-9 * phase_angle**4)
