"""The Moon's age, phase and lit part."""

from dataclasses import dataclass

import erfa
import numpy as np

from logbook.sky import bodies, earth
from logbook.sky.arrays import Floats

# Mean motion of the Moon from the Sun. Source: 360° in 29.530589 days (Chapront).
_DEG_A_DAY = 360.0 / 29.530589
_HALF_DAY_DEG = 0.5 * _DEG_A_DAY
_QUARTERS = ("new Moon", "first quarter", "full Moon", "last quarter")
_BETWEEN = ("waxing crescent", "waxing gibbous", "waning gibbous", "waning crescent")


@dataclass(frozen=True, slots=True)
class MoonPhase:
    """The Moon as lit at one instant, seen from the centre of the Earth.

    illumination -- lit fraction of the disc, 0 to 1; from the site it differs by up to 0.007.
    age_days -- since the new Moon before, which is found, not taken from a mean month.
    elongation_deg -- longitude of the Moon less that of the Sun, 0 to 360: under 180 waxing.
    words -- one of the four quarters within half a day of it, else what lies between.
    """

    illumination: float
    age_days: float
    elongation_deg: float
    words: str


def moon_phase(mjd: float) -> MoonPhase:
    """The phase at an instant (MJD, UTC)."""
    tt = mjd + (32.184 + earth.tai_utc_s(mjd)) / 86400.0
    longitude = float(elongation_deg(np.array([tt]))[0])
    return MoonPhase(
        illumination=float(illumination(np.array([tt]))[0]),
        age_days=tt - _new_moon_before(tt, longitude),
        elongation_deg=longitude,
        words=_words(longitude),
    )


def elongation_deg(tt_jd: Floats) -> Floats:
    """Apparent ecliptic longitude of the Moon less the Sun's, 0 to 360, geocentric.

    Taken on the mean ecliptic of date: nutation moves both alike.
    """
    sun, moon = bodies.sun_moon_gcrs(tt_jd)
    to_ecliptic = erfa.ecm06(earth.MJD_JD, tt_jd)
    longitudes = []
    for vectors in (sun, moon):
        ecliptic = np.einsum("nij,nj->ni", to_ecliptic, vectors)
        longitudes.append(np.arctan2(ecliptic[:, 1], ecliptic[:, 0]))
    return np.asarray(np.degrees(longitudes[1] - longitudes[0]) % 360.0)


def illumination(tt_jd: Floats) -> Floats:
    """Lit fraction of the disc, geocentric. Source: Meeus 1998, ch. 48, eq. 48.1 and 48.3."""
    sun, moon = bodies.sun_moon_gcrs(tt_jd)
    sun_au, moon_au = np.linalg.norm(sun, axis=-1), np.linalg.norm(moon, axis=-1)
    cosine = np.einsum("ij,ij->i", sun, moon) / (sun_au * moon_au)
    sine = np.sqrt(1.0 - np.clip(cosine, -1.0, 1.0) ** 2)
    phase_angle = np.arctan2(sun_au * sine, moon_au - sun_au * cosine)
    return np.asarray((1.0 + np.cos(phase_angle)) / 2.0)


def _new_moon_before(tt: float, longitude_deg: float) -> float:
    """The last instant of equal longitude, by Newton's steps with the mean motion."""
    new_moon = tt - longitude_deg / _DEG_A_DAY
    for _ in range(8):
        past = float(elongation_deg(np.array([new_moon]))[0])
        past = (past + 180.0) % 360.0 - 180.0
        new_moon -= past / _DEG_A_DAY
        if abs(past) < 1e-6:
            break
    return new_moon


def _words(longitude_deg: float) -> str:
    nearest = round(longitude_deg / 90.0)
    if abs(longitude_deg - 90.0 * nearest) <= _HALF_DAY_DEG:
        return _QUARTERS[nearest % 4]
    return _BETWEEN[int(longitude_deg // 90.0)]
