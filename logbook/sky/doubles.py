"""Double stars, and how hard each is for an aperture.

The table has the brighter pairs of 0.6 to 60″ that two open catalogues show, and a few famous ones
by hand where those fail. It is not complete. Magnitudes are in Gaia's G, Hipparcos's Hp or in V.
"""

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

import numpy as np

from logbook.sky import earth
from logbook.sky.clock import local_hhmm, zone_of
from logbook.sky.frame import SkyFrame
from logbook.sky.instrument import Instrument
from logbook.sky.intervals import Interval
from logbook.sky.night import Night
from logbook.sky.visibility import spans_mjd, windows

# What a companion needs more than two equal stars: the Dawes limit times this per magnitude of
# difference. From the limits of Lewis 1914, The Observatory 37, 378 (4.8, 16.5 and 36″ over the
# aperture in inches for pairs alike, 3.3 and 5.7 magnitudes apart), from memory.
_PER_MAGNITUDE = 10.0**0.16
_STEPS = ((0.75, "beyond this aperture"), (1.15, "very hard"), (1.9, "hard"), (3.0, "fair"))
_EASY = "easy"
_UNKNOWN = "unknown"
_NEEDS_STEADY_AIR_ARCSEC = 1.5
_SHOWN_PART = 0.02  # a change by less than this part of the separation is not worth words
_FAST_YEARS = 500.0
_BY_CHANCE_ARCSEC = 10.0  # nearer, two stars this bright hardly ever meet by chance

# Worth of a pair as a trial of optics and air, against how many times its need it is wide. Taste.
_TIMES, _TIMES_WORTH = (0.6, 0.9, 1.2, 2.5, 6.0, 20.0), (0.0, 0.35, 0.9, 1.0, 0.7, 0.35)
_ALTITUDES, _ALTITUDE_WORTH = (20.0, 35.0, 55.0), (0.3, 0.7, 1.0)
_MAGNITUDES, _MAGNITUDE_WORTH = (5.0, 7.0, 8.5), (1.0, 0.8, 0.4)  # of the companion


@dataclass(frozen=True, slots=True)
class DoubleStar:
    """A pair. Place of the brighter star: ICRS, 2000.0.

    position_angle_deg -- of the fainter star, from north through east; with the separation at
        `epoch`, a year.
    period_years -- once round, very roughly; None if slow or not known.
    drift_arcsec_yr -- how fast the companion moved from 1991 to 2016; None where only one
        catalogue has it. motion_arcsec_yr -- the brighter star's own motion across the sky.
    """

    id: str
    name: str
    constellation: str
    ra_deg: float
    dec_deg: float
    magnitude: float
    companion_magnitude: float
    band: str
    separation_arcsec: float
    position_angle_deg: float
    epoch: float
    period_years: float | None
    drift_arcsec_yr: float | None
    motion_arcsec_yr: float
    source: str

    @property
    def difference_mag(self) -> float:
        return self.companion_magnitude - self.magnitude

    @property
    def moves(self) -> str:
        """Whether separation and angle may have changed since; empty if hardly."""
        if self.period_years is not None and self.period_years <= _FAST_YEARS:
            return (
                f"goes round in very roughly {self.period_years:g} years: both numbers are of "
                f"{self.epoch:g} and have changed"
            )
        if self.drift_arcsec_yr is not None:
            if 10.0 * self.drift_arcsec_yr < _SHOWN_PART * self.separation_arcsec:
                return ""
            return f"moved by {self.drift_arcsec_yr:.2f}″ a year from 1991 to 2016"
        slow = 10.0 * self.motion_arcsec_yr < _SHOWN_PART * self.separation_arcsec
        if slow or self.separation_arcsec < _BY_CHANCE_ARCSEC:
            return ""
        return (
            f"of {self.epoch:g}: unless both travel together, off by up to "
            f"{self.motion_arcsec_yr:.2f}″ a year since"
        )


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


@cache
def double_stars() -> tuple[DoubleStar, ...]:
    """The shipped table, read on the first call."""
    text = resources.files("logbook").joinpath("data", "doubles.csv").read_text("utf-8")
    return tuple(_read(row) for row in csv.DictReader(text.splitlines()))


def needed_arcsec(dawes_arcsec: float, difference_mag: float) -> float:
    """Separation at which a pair of unequal stars is just told apart."""
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
    places = frame.places(*(np.array([getattr(s, side) for s in stars]) for side in _PLACE))
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


_PLACE = ("ra_deg", "dec_deg")


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
        f"up to {highest_deg:.0f}°, {local_hhmm(window.start, zone)}–{local_hhmm(window.end, zone)}"
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


def _read(row: dict[str, str]) -> DoubleStar:
    return DoubleStar(
        id=row["id"],
        name=row["star"],
        constellation=row["constellation"],
        ra_deg=float(row["ra_deg"]),
        dec_deg=float(row["dec_deg"]),
        magnitude=float(row["magnitude"]),
        companion_magnitude=float(row["companion_magnitude"]),
        band=row["band"],
        separation_arcsec=float(row["separation_arcsec"]),
        position_angle_deg=float(row["position_angle_deg"]),
        epoch=float(row["epoch"]),
        period_years=float(row["period_years"]) if row["period_years"] else None,
        drift_arcsec_yr=float(row["drift_arcsec_yr"]) if row["drift_arcsec_yr"] else None,
        motion_arcsec_yr=float(row["motion_arcsec_yr"]),
        source=row["source"],
    )
