"""Double stars of a night, and how hard each is for an aperture."""

from dataclasses import dataclass

import numpy as np

from logbook.sky.altitude.visibility import spans_mjd, windows
from logbook.sky.catalogue.doubles import DoubleStar, double_stars
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.clock import event_hhmm, zone_of
from logbook.sky.night.intervals import Interval
from logbook.sky.night.night import Night
from logbook.sky.night.sky_frame import SkyFrame

# What a companion needs more than two equal stars: the Dawes limit times this per magnitude of
# difference. From the limits of Lewis 1914, The Observatory 37, 378 (4.8, 16.5 and 36″ over the
# aperture in inches for pairs alike, 3.3 and 5.7 magnitudes apart), from memory.
_PER_MAGNITUDE = 10.0**0.16
_STEPS = ((0.75, "beyond this aperture"), (1.15, "very hard"), (1.9, "hard"), (3.0, "fair"))
_EASY = "easy"
_UNKNOWN = "unknown"
_NEEDS_STEADY_AIR_ARCSEC = 1.5

# Worth of a pair as a trial of optics and air, against how many times its need it is wide. Taste.
_TIMES, _TIMES_WORTH = (0.6, 0.9, 1.2, 2.5, 6.0, 20.0), (0.0, 0.35, 0.9, 1.0, 0.7, 0.35)
_ALTITUDES, _ALTITUDE_WORTH = (20.0, 35.0, 55.0), (0.3, 0.7, 1.0)
_MAGNITUDES, _MAGNITUDE_WORTH = (5.0, 7.0, 8.5), (1.0, 0.8, 0.4)  # of the companion


@dataclass(frozen=True, slots=True)
class DoubleTonight:
    """A pair in one night; unknown is None.

    times_limit -- separation over the Rayleigh limit of the aperture.
    times_needed -- separation over what this difference in brightness needs.
    """

    star: DoubleStar
    window: tuple[Interval, ...]
    hours: float
    max_altitude_deg: float
    times_limit: float | None
    times_needed: float | None
    separation_px: float | None
    difficulty: str
    score: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DoublesTonight:
    doubles: tuple[DoubleTonight, ...]
    words: tuple[str, ...]


def needed_arcsec(dawes_arcsec: float, difference_mag: float) -> float:
    """Separation at which a pair of unequal stars is just resolved."""
    return dawes_arcsec * float(_PER_MAGNITUDE**difference_mag)


def difficulty(times_needed: float | None) -> str:
    """In words, by how many times a pair is as wide as it needs."""
    if times_needed is None:
        return _UNKNOWN
    return next((words for limit, words in _STEPS if times_needed < limit), _EASY)


def doubles_tonight(
    frame: SkyFrame,
    night: Night,
    instrument: Instrument,
    *,
    min_altitude_deg: float = 30.0,
    most: int = 40,
) -> DoublesTonight:
    """Pairs above the limit with the Sun more than 6° down, best first."""
    stars = double_stars()
    places = frame.places(
        np.array([star.ra_deg for star in stars]), np.array([star.dec_deg for star in stars])
    )
    found = windows(frame, places, spans_mjd(night.below_6), min_altitude_deg)
    doubles = [
        _tonight(
            stars[row],
            night,
            instrument,
            Interval(earth.to_instant(found.first_mjd[row]), earth.to_instant(found.last_mjd[row])),
            float(found.hours[row]),
            float(found.max_altitude_deg[row]),
        )
        for row in np.flatnonzero(found.hours > 0.0)
    ]
    doubles.sort(key=lambda double: -double.score)
    return DoublesTonight(tuple(doubles[:most]), _words(night, instrument, bool(doubles)))


def _tonight(
    star: DoubleStar,
    night: Night,
    instrument: Instrument,
    window: Interval,
    hours: float,
    highest_deg: float,
) -> DoubleTonight:
    rayleigh, dawes = instrument.smallest_split_arcsec, instrument.dawes_arcsec
    times_limit = star.separation_arcsec / rayleigh if rayleigh else None
    needed = needed_arcsec(dawes, star.difference_mag) if dawes else None
    times_needed = star.separation_arcsec / needed if needed else None
    pixels = instrument.pixels(star.separation_arcsec)
    return DoubleTonight(
        star=star,
        window=(window,),
        hours=hours,
        max_altitude_deg=highest_deg,
        times_limit=times_limit,
        times_needed=times_needed,
        separation_px=pixels,
        difficulty=difficulty(times_needed),
        score=_score(star, times_needed, highest_deg),
        reasons=_reasons(star, night, window, highest_deg, times_limit, needed, pixels),
    )


def _score(star: DoubleStar, times_needed: float | None, highest_deg: float) -> float:
    trial = 0.5 if times_needed is None else np.interp(times_needed, _TIMES, _TIMES_WORTH)
    bright = np.interp(star.companion_magnitude, _MAGNITUDES, _MAGNITUDE_WORTH)
    high = np.interp(highest_deg, _ALTITUDES, _ALTITUDE_WORTH)
    return float(trial * bright * high)


def _reasons(
    star: DoubleStar,
    night: Night,
    window: Interval,
    highest_deg: float,
    times_limit: float | None,
    needed: float | None,
    pixels: float | None,
) -> tuple[str, ...]:
    zone = zone_of(night.time_zone)
    reasons = [
        f"{star.separation_arcsec:.1f}″ at position angle {star.position_angle_deg:.0f}°",
        f"magnitudes {star.magnitude:.1f} and {star.companion_magnitude:.1f}",
    ]
    if times_limit is not None and needed is not None:
        reasons.append(f"{times_limit:.1f} × the Rayleigh limit, {needed:.1f}″ needed")
    if pixels is not None:
        reasons.append(f"{pixels:.1f} pixels apart")
    reasons.append(
        f"up to {highest_deg:.0f}°, {event_hhmm(window.start, zone)}–{event_hhmm(window.end, zone)}"
    )
    if star.separation_arcsec < _NEEDS_STEADY_AIR_ARCSEC:
        reasons.append("needs steady air")
    return (*reasons, star.moves) if star.moves else tuple(reasons)


def _words(night: Night, instrument: Instrument, any_found: bool) -> tuple[str, ...]:
    words = []
    if instrument.smallest_split_arcsec is None or instrument.dawes_arcsec is None:
        words.append("Aperture unknown: how hard a pair is cannot be said.")
    else:
        words.append(
            f"{instrument.aperture_mm:g} mm: Rayleigh {instrument.smallest_split_arcsec:.2f}″, "
            f"Dawes {instrument.dawes_arcsec:.2f}″ for equal stars."
        )
    if not night.below_6:
        words.append("The Sun is never 6° below the horizon in this night.")
    elif not any_found:
        words.append("No pair of the table stands high enough.")
    words.append("A small table of brighter pairs, not a complete one.")
    return tuple(words)
