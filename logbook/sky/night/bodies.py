"""Where the Sun and the Moon are, as seen from the centre of the Earth."""

from dataclasses import dataclass

import erfa
import numpy as np
from numpy.polynomial import chebyshev

from logbook.sky.night.arrays import Floats
from logbook.sky.night.earth import MJD_JD, Orientation

LIGHT_AU_A_DAY = 173.1446326846693  # 299792458 m/s
_SCHWARZSCHILD_AU = 1.97412574336e-8  # radius for the Sun's mass, 2GM/c², as in ERFA
_NODES = 9  # over 26 hours: Sun and Moon to a millionth of an arcsecond of the full series


@dataclass(frozen=True, slots=True)
class Course:
    """Sun and Moon over a night: apparent geocentric vectors (AU) in the frame of date.

    Each is one Chebyshev series, so that any instant costs a few multiplications.
    """

    middle_mjd: float
    half_days: float
    series: Floats  # (nodes, 6): Sun x y z, Moon x y z

    def at(self, mjd: Floats) -> tuple[Floats, Floats]:
        """Sun and Moon at instants (n): two arrays (n, 3)."""
        scaled = (np.atleast_1d(mjd) - self.middle_mjd) / self.half_days
        both = chebyshev.chebvander(scaled, _NODES - 1) @ self.series
        return both[:, :3], both[:, 3:]


def course(orientation: Orientation, start_mjd: float, end_mjd: float) -> Course:
    """The course from a start to an end, with an hour to spare on either side."""
    middle = (start_mjd + end_mjd) / 2.0
    half = (end_mjd - start_mjd) / 2.0 + 1.0 / 24.0
    nodes = chebyshev.chebpts1(_NODES)
    sun, moon = sun_moon_gcrs(orientation.tt_jd(middle + half * nodes))
    values = np.hstack([sun, moon]) @ np.kron(np.eye(2), orientation.to_date.T)
    series = np.linalg.solve(chebyshev.chebvander(nodes, _NODES - 1), values)
    return Course(middle, half, np.asarray(series, dtype=np.float64))


def sun_moon_gcrs(tt_jd: Floats) -> tuple[Floats, Floats]:
    """Apparent geocentric Sun and Moon, GCRS axes, AU, each (n, 3).

    tt_jd -- second part of the Julian date in TT, the first being MJD_JD.

    The Sun is moved by aberration; for the Moon that and the Earth's own motion during the light
    time cancel, so that its own motion in the light time is what remains. The Moon is good to 10″
    (median 2″), the Sun to 0.01″. Sources: ERFA epv00 and moon98 (Meeus 1998, ch. 47).
    """
    heliocentric, barycentric = erfa.epv00(MJD_JD, tt_jd)
    sun = -heliocentric["p"]
    distance = np.linalg.norm(sun, axis=-1, keepdims=True)
    sun = aberrated(sun / distance, barycentric["v"]) * distance
    moon = erfa.moon98(MJD_JD, tt_jd)
    light_days = np.linalg.norm(moon["p"], axis=-1, keepdims=True) / LIGHT_AU_A_DAY
    return sun, moon["p"] - moon["v"] * light_days


def stars_seen(unit_icrs: Floats, tt_jd: float) -> Floats:
    """Catalogue directions (n, 3) as seen from the moving Earth past the Sun, GCRS axes."""
    heliocentric, barycentric = erfa.epv00(MJD_JD, tt_jd)
    return aberrated(_bent_by_the_sun(unit_icrs, heliocentric["p"]), barycentric["v"])


def _bent_by_the_sun(directions: Floats, earth_au: Floats) -> Floats:
    """Directions of light that passed the Sun: 0.04″ off at 20° from it, 1.7″ at its edge.

    earth_au -- the Earth as seen from the Sun. Source: Explanatory Supplement 2013, eq. 7.62; the
    limit behind the Sun as in ERFA's ld.
    """
    distance_au = np.linalg.norm(earth_au)
    away = earth_au / distance_au
    along = directions @ away
    strength = _SCHWARZSCHILD_AU / distance_au / np.maximum(1.0 + along, 1e-6)
    bent: Floats = directions + strength[:, None] * (away - along[:, None] * directions)
    return bent


def aberrated(directions: Floats, velocity_au_day: Floats) -> Floats:
    """Unit vectors (n, 3) as a moving observer sees them, to 0.001″.

    Source: Explanatory Supplement 2013, eq. 7.40, without the terms in (v/c)².
    """
    moved = directions + velocity_au_day / LIGHT_AU_A_DAY
    apparent: Floats = moved / np.linalg.norm(moved, axis=-1, keepdims=True)
    return apparent
