"""The Moon's age, phase and lit part."""

from dataclasses import dataclass

import erfa
import numpy as np

from logbook.sky.night import bodies, earth
from logbook.sky.night.arrays import Floats

# Mean motion of the Moon from the Sun. Source: 360° in 29.530589 days (Chapront).
_DEG_A_DAY = 360.0 / 29.530589
_HALF_DAY_DEG = 0.5 * _DEG_A_DAY
_AROUND = 1.5 * np.cos(np.pi * (np.arange(8) + 0.5) / 8.0)  # days, Chebyshev's nodes
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
    tt = np.array([mjd + (32.184 + earth.tai_utc_s(mjd)) / 86400.0])
    sun, moon = bodies.sun_moon_gcrs(tt)
    longitude = float(_elongation_deg(tt, sun, moon)[0])
    return MoonPhase(
        illumination=float(_illumination(sun, moon)[0]),
        age_days=float(tt[0]) - _new_moon_before(float(tt[0]), longitude),
        elongation_deg=longitude,
        words=_words(longitude),
    )


def elongation_deg(tt_jd: Floats) -> Floats:
    """Apparent ecliptic longitude of the Moon less the Sun's, 0 to 360, geocentric.

    tt_jd -- second part of the Julian date in TT, the first being `earth.MJD_JD`.
    """
    return _elongation_deg(tt_jd, *bodies.sun_moon_gcrs(tt_jd))


def illumination(tt_jd: Floats) -> Floats:
    """Lit fraction of the disc, geocentric. Source: Meeus 1998, ch. 48, eq. 48.1 and 48.3."""
    return _illumination(*bodies.sun_moon_gcrs(tt_jd))


def _elongation_deg(tt_jd: Floats, sun: Floats, moon: Floats) -> Floats:
    # The mean ecliptic of date will do: nutation moves both longitudes alike.
    to_ecliptic = erfa.ecm06(earth.MJD_JD, tt_jd)
    longitudes = []
    for vectors in (sun, moon):
        ecliptic = np.einsum("nij,nj->ni", to_ecliptic, vectors)
        longitudes.append(np.arctan2(ecliptic[:, 1], ecliptic[:, 0]))
    return np.asarray(np.degrees(longitudes[1] - longitudes[0]) % 360.0)


def _illumination(sun: Floats, moon: Floats) -> Floats:
    sun_au, moon_au = np.linalg.norm(sun, axis=-1), np.linalg.norm(moon, axis=-1)
    cosine = np.einsum("ij,ij->i", sun, moon) / (sun_au * moon_au)
    sine = np.sqrt(1.0 - np.clip(cosine, -1.0, 1.0) ** 2)
    phase_angle = np.arctan2(sun_au * sine, moon_au - sun_au * cosine)
    return np.asarray((1.0 + np.cos(phase_angle)) / 2.0)


def _new_moon_before(tt: float, longitude_deg: float) -> float:
    """The last instant of equal longitude.

    Mean motion leads to within 1.4 days of it (the sum of the Moon's and Sun's unevenness); there
    time as a polynomial of longitude through eight instants gives it to a second.
    """
    guess = tt - longitude_deg / _DEG_A_DAY
    instants = guess + _AROUND
    past = (elongation_deg(instants) + 180.0) % 360.0 - 180.0
    powers = np.vander(past / 20.0, increasing=True)
    return float(guess + np.linalg.solve(powers, _AROUND)[0])


def _words(longitude_deg: float) -> str:
    nearest = round(longitude_deg / 90.0)
    if abs(longitude_deg - 90.0 * nearest) <= _HALF_DAY_DEG:
        return _QUARTERS[nearest % 4]
    return _BETWEEN[int(longitude_deg // 90.0)]
