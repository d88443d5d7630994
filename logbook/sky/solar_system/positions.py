"""Where the planets stand.

Source: ERFA plan94 (Simon et al. 1994, A&A 282, 663). Against JPL's DE440 from 2026 to 2030:
Mercury to Mars within 18″, Jupiter 29″, Saturn 68″, Uranus and Neptune 7″. Ample for choosing and
for pointing a camera, not for occultations.
"""

from dataclasses import dataclass

import erfa
import numpy as np
from numpy.polynomial import chebyshev

from logbook.errors import NotFound
from logbook.sky.night.arrays import Floats
from logbook.sky.night.bodies import LIGHT_AU_A_DAY, aberrated
from logbook.sky.night.earth import MJD_JD
from logbook.sky.night.sky_frame import SkyFrame
from logbook.text import clean

PLANETS = ("Mercury", "Venus", "Mars", "Jupiter", "Saturn", "Uranus", "Neptune")
_NUMBERS = {
    "Mercury": 1,
    "Venus": 2,
    "Mars": 4,
    "Jupiter": 5,
    "Saturn": 6,
    "Uranus": 7,
    "Neptune": 8,
}
_NODES = 6  # over 26 hours: to 0.001″


@dataclass(frozen=True, slots=True)
class PlanetCourse:
    """A planet over a night: geocentric apparent vector (AU) in the frame's axes, as a series."""

    middle_mjd: float
    half_days: float
    series: Floats  # (nodes, 3)

    def at(self, mjd: Floats) -> Floats:
        """Vectors (n, 3) at instants (n)."""
        scaled = (np.atleast_1d(mjd) - self.middle_mjd) / self.half_days
        return np.asarray(chebyshev.chebvander(scaled, len(self.series) - 1) @ self.series)


def planet_number(name: str) -> int:
    """The number that ERFA gives a planet. Raises NotFound for a name that is none."""
    try:
        return _NUMBERS[name]
    except KeyError:
        shown = clean(name, longest=40)
        raise NotFound(f"{shown!r} is none of the planets {', '.join(PLANETS)}.") from None


def planet_course(frame: SkyFrame, name: str) -> PlanetCourse:
    """The course of one planet through the frame's night. Raises NotFound."""
    number = planet_number(name)
    middle = (frame.start_mjd + frame.end_mjd) / 2.0
    half = (frame.end_mjd - frame.start_mjd) / 2.0 + 1.0 / 24.0
    nodes = chebyshev.chebpts1(_NODES)
    seen, _ = planet_gcrs(number, frame.orientation.tt_jd(middle + half * nodes))
    values = seen @ frame.orientation.to_date.T
    series = np.linalg.solve(chebyshev.chebvander(nodes, _NODES - 1), values)
    return PlanetCourse(middle, half, np.asarray(series, dtype=np.float64))


def planet_gcrs(number: int, tt_jd: Floats) -> tuple[Floats, Floats]:
    """Apparent geocentric place and heliocentric place as it is seen, GCRS axes, AU, each (n, 3).

    Light time and aberration are in it, the bending of light by the Sun is not: 0.04″ at 20°.
    """
    tt = np.atleast_1d(tt_jd)
    earth_from_sun, barycentric = erfa.epv00(MJD_JD, tt)
    back = np.zeros_like(tt)
    for _ in range(3):
        planet = erfa.plan94(MJD_JD, tt - back, number)["p"]
        apart = planet - earth_from_sun["p"]
        distance = np.linalg.norm(apart, axis=-1)
        back = distance / LIGHT_AU_A_DAY
    seen = aberrated(apart / distance[:, None], barycentric["v"]) * distance[:, None]
    return np.asarray(seen), np.asarray(planet)
