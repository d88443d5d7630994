"""A star to defocus: bright enough for the aperture, high, alone, and slow if nothing drives.

What is looked for is common practice, no source: for 200 mm a star of magnitude 1 to 3, more or
less by the light the aperture gathers, above 50°.
"""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from logbook.sky.altitude.visibility import SIDEREAL_DAY
from logbook.sky.bright_night.tonight import SUN_CAUTION_DEG
from logbook.sky.catalogue.doubles import DoubleStar, double_stars
from logbook.sky.catalogue.objects import Catalogue, SkyObject, bright_stars
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.night.skyline import Skyline

SIDEREAL_ARCSEC_S = 15.041
_BRIGHT_MAG, _FAINT_MAG, _FOR_APERTURE_MM = 1.0, 3.0, 200.0
_REACH_MAG = 1.0  # a star this far outside the range still serves, less well
_DRIVEN_ALTITUDE_DEG, _UNDRIVEN_ALTITUDE_DEG = 50.0, 30.0
_LOOKS = 7  # over the next hour
_TWILIGHT_DEG = -6.0

# Worth against altitude now or an hour from now, whichever is lower; against drift where nothing
# drives, which smears a second's exposure; and against how much fainter a companion is. Common
# practice.
_ALTITUDES, _ALTITUDE_WORTH = (25.0, 50.0, 70.0, 90.0), (0.2, 0.7, 0.95, 1.0)
_DRIFTS_ARCSEC_S, _DRIFT_WORTH = (0.5, 2.0, 5.0, 10.0, 15.0), (1.0, 0.8, 0.45, 0.25, 0.15)
_FAINTER_MAG, _FAINTER_WORTH = (1.0, 3.0, 5.0, 6.0), (0.05, 0.4, 0.85, 0.95)


@dataclass(frozen=True, slots=True)
class StarTestStar:
    """One star, at the instant asked for.

    altitudes_deg -- instants and altitudes through the next hour.
    drift_arcsec_s -- how fast it runs through a frame that nothing drives.
    crossing_s -- how long it takes from the middle to an edge of the short side so; None without
        a field.
    double_words -- empty, or that it is a double and how close.
    """

    object_id: str
    name: str
    constellation: str
    ra_deg: float
    dec_deg: float
    magnitude: float
    altitude_deg: float
    azimuth_deg: float
    altitude_in_an_hour_deg: float
    altitudes_deg: tuple[tuple[datetime, float], ...]
    drift_arcsec_s: float
    crossing_s: float | None
    double_words: str
    score: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StarTestStars:
    """Stars, best first, and the range of magnitudes looked for (bright, faint)."""

    stars: tuple[StarTestStar, ...]
    wanted_magnitude: tuple[float, float]
    words: tuple[str, ...]


def wanted_magnitudes(aperture_mm: float | None) -> tuple[float, float]:
    """The brightest and the faintest star that suits an aperture; that of 200 mm if unknown."""
    more = 5.0 * math.log10((aperture_mm or _FOR_APERTURE_MM) / _FOR_APERTURE_MM)
    return _BRIGHT_MAG + more, _FAINT_MAG + more


def star_test_stars(
    frame: SkyFrame,
    instrument: Instrument,
    at: datetime,
    *,
    min_altitude_deg: float | None = None,
    most: int = 10,
) -> StarTestStars:
    """Stars to defocus at an aware instant of the frame's night.

    min_altitude_deg -- now and an hour from now; None for 50°, or 30° where nothing drives and a
        slow star counts for more than a high one.
    """
    if min_altitude_deg is None:
        min_altitude_deg = _DRIVEN_ALTITUDE_DEG if instrument.driven else _UNDRIVEN_ALTITUDE_DEG
    sky = _look(frame, at)
    wanted = wanted_magnitudes(instrument.aperture_mm)
    rows = _suitable(sky, wanted, min_altitude_deg)
    stars = [_star(sky, int(row), instrument, wanted) for row in rows]
    stars.sort(key=lambda star: -star.score)
    words = _words(sky, instrument, wanted, min_altitude_deg, bool(stars))
    return StarTestStars(tuple(stars[:most]), wanted, words)


@dataclass(frozen=True)
class _Sky:
    """All bright stars over the site, through an hour."""

    frame: SkyFrame
    stars: Catalogue
    directions: Floats  # (n, 3)
    instants: tuple[datetime, ...]
    altitudes_deg: Floats  # (n, looks)
    azimuths_deg: Floats  # (n, looks)
    magnitude: Floats


def _look(frame: SkyFrame, at: datetime) -> _Sky:
    stars = bright_stars()
    instants = tuple(at + timedelta(hours=look / (_LOOKS - 1)) for look in range(_LOOKS))
    mjd = np.array([earth.to_mjd(each) for each in instants])
    there = frame.apparent(stars.unit_icrs)
    altitudes = frame.altitudes_deg(there, mjd)
    azimuths = frame.azimuths_deg(there, mjd)
    return _Sky(frame, stars, there, instants, altitudes, azimuths, stars.magnitude)


def _suitable(
    sky: _Sky, wanted: tuple[float, float], min_altitude_deg: float
) -> tuple[np.intp, ...]:
    """Rows bright enough, high enough all the hour, not behind the site's horizon nor near the
    Sun."""
    bright = (sky.magnitude >= wanted[0] - _REACH_MAG) & (sky.magnitude <= wanted[1] + _REACH_MAG)
    high = np.min(sky.altitudes_deg, axis=1) >= min_altitude_deg  # few are left for the skyline
    sun = sky.frame.sun_moon(np.array([earth.to_mjd(sky.instants[0])]))[0][0]
    cosines = sky.directions @ (sun / np.linalg.norm(sun))
    safe = cosines < math.cos(math.radians(SUN_CAUTION_DEG))
    rows = np.flatnonzero(bright & high & safe)
    needed = Skyline.over(sky.frame.site.horizon, min_altitude_deg).at(sky.azimuths_deg[rows])
    clear = np.all(sky.altitudes_deg[rows] >= needed, axis=1)
    return tuple(rows[clear])


def _star(sky: _Sky, row: int, instrument: Instrument, wanted: tuple[float, float]) -> StarTestStar:
    thing = sky.stars.at(row)
    altitudes = [float(each) for each in sky.altitudes_deg[row]]
    drift = SIDEREAL_ARCSEC_S * float(np.hypot(*sky.directions[row, :2]))
    crossing = _crossing_s(instrument, drift)
    companion = _companion(thing.id)
    magnitude = float(sky.magnitude[row])
    return StarTestStar(
        object_id=thing.id,
        name=thing.title,
        constellation=thing.constellation,
        ra_deg=thing.ra_deg,
        dec_deg=thing.dec_deg,
        magnitude=magnitude,
        altitude_deg=altitudes[0],
        azimuth_deg=float(sky.azimuths_deg[row, 0]),
        altitude_in_an_hour_deg=altitudes[-1],
        altitudes_deg=tuple(zip(sky.instants, altitudes, strict=True)),
        drift_arcsec_s=drift,
        crossing_s=crossing,
        double_words=_double_words(companion),
        score=_score(magnitude, wanted, min(altitudes), drift, companion, instrument),
        reasons=_reasons(sky, row, thing, altitudes, crossing, companion, instrument, wanted),
    )


def _crossing_s(instrument: Instrument, drift_arcsec_s: float) -> float | None:
    if instrument.field is None:
        return None
    return min(instrument.field.field_deg) * 3600.0 / 2.0 / max(drift_arcsec_s, 1e-6)


def _companion(object_id: str) -> DoubleStar | None:
    """The brightest companion within a minute of arc, which a defocused disc would take in."""
    pairs = [pair for pair in double_stars() if pair.id.split("/")[0] == object_id]
    return min(pairs, key=lambda pair: pair.difference_mag, default=None)


def _double_words(companion: DoubleStar | None) -> str:
    if companion is None:
        return ""
    return (
        f"double: {companion.difference_mag:.1f} mag fainter star "
        f"{companion.separation_arcsec:.1f}″ away"
    )


def _score(
    magnitude: float,
    wanted: tuple[float, float],
    lowest_deg: float,
    drift_arcsec_s: float,
    companion: DoubleStar | None,
    instrument: Instrument,
) -> float:
    outside = max(wanted[0] - magnitude, magnitude - wanted[1], 0.0)
    score = (1.0 - 0.6 * outside / _REACH_MAG) * np.interp(lowest_deg, _ALTITUDES, _ALTITUDE_WORTH)
    if not instrument.driven:
        score *= np.interp(drift_arcsec_s, _DRIFTS_ARCSEC_S, _DRIFT_WORTH)
    if companion is not None:
        score *= np.interp(companion.difference_mag, _FAINTER_MAG, _FAINTER_WORTH)
    return float(score)


def _reasons(
    sky: _Sky,
    row: int,
    thing: SkyObject,
    altitudes: list[float],
    crossing_s: float | None,
    companion: DoubleStar | None,
    instrument: Instrument,
    wanted: tuple[float, float],
) -> tuple[str, ...]:
    magnitude = float(sky.magnitude[row])
    reasons = [f"magnitude {magnitude:.1f}, {_bright_words(magnitude, wanted)}"]
    reasons.append(f"{altitudes[0]:.0f}° high, {altitudes[-1]:.0f}° in an hour")
    minutes = _minutes_to_meridian(sky, row)
    if 0.0 <= minutes <= 60.0:
        reasons.append(f"crosses the meridian in {minutes:.0f} min")
    if not instrument.driven:
        drift = SIDEREAL_ARCSEC_S * math.cos(math.radians(thing.dec_deg))
        stays = "" if crossing_s is None else f", {crossing_s:.0f} s from the middle to an edge"
        reasons.append(f"drifts {drift:.1f}″ a second{stays}")
    reasons.append(_double_words(companion) or "no companion within 1′ in our table")
    return tuple(reasons)


def _bright_words(magnitude: float, wanted: tuple[float, float]) -> str:
    if magnitude < wanted[0]:
        return "bright: short exposures"
    return "faint for the aperture" if magnitude > wanted[1] else "right for the aperture"


def _minutes_to_meridian(sky: _Sky, row: int) -> float:
    """Until the star's next upper passage of the meridian."""
    ra = math.atan2(sky.directions[row, 1], sky.directions[row, 0])
    meridian = float(sky.frame.meridian_rad(earth.to_mjd(sky.instants[0])))
    return (ra - meridian) % (2.0 * math.pi) / (2.0 * math.pi) * SIDEREAL_DAY * 1440.0


def _words(
    sky: _Sky,
    instrument: Instrument,
    wanted: tuple[float, float],
    min_altitude_deg: float,
    any_found: bool,
) -> tuple[str, ...]:
    of = f"{instrument.aperture_mm:g} mm" if instrument.aperture_mm else "an unknown aperture"
    words = [f"For {of}: magnitude {wanted[0]:.1f} to {wanted[1]:.1f}.".replace("-", "−")]
    sun = float(sky.frame.sun_altitude_deg(np.array([earth.to_mjd(sky.instants[0])]))[0])
    if sun > _TWILIGHT_DEG:
        height = "up" if sun > -50.0 / 60.0 else f"only {-sun:.0f}° down"
        words.append(f"The Sun is {height}: wait until it is 6° down, and keep off it.")
    if not any_found:
        words.append(f"No such star stands above {min_altitude_deg:g}° all the hour.")
    if not instrument.driven:
        words.append(_pole_words(sky, wanted))
    return tuple(words)


def _pole_words(sky: _Sky, wanted: tuple[float, float]) -> str:
    """The slowest star for the aperture near the pole that is up."""
    north = sky.frame.latitude_rad >= 0.0
    towards = sky.directions[:, 2] * (1.0 if north else -1.0)
    bright = np.flatnonzero(sky.magnitude <= wanted[1] + _REACH_MAG)
    row = int(bright[np.argmax(towards[bright])])
    away = math.degrees(math.acos(min(1.0, float(towards[row]))))
    drift = SIDEREAL_ARCSEC_S * float(np.hypot(*sky.directions[row, :2]))
    name, pole = sky.stars.at(row).title, "north" if north else "south"
    altitude = float(sky.altitudes_deg[row, 0])
    where = (
        f"{name}, {away:.0f}° from the pole and {altitude:.0f}° high, drifts {drift:.1f}″ a second"
    )
    if away > 5.0:
        return f"No star bright enough stands near the {pole} pole; the nearest is {where}."
    return f"Slowest near the {pole} pole: {where}."
