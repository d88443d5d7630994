"""The planets of a night: when, how high, how large, how bright."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from logbook.sky.altitude.ephemeris import Mover, constellations_at
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.clock import event_hhmm, zone_of
from logbook.sky.night.intervals import Interval, common, total_hours
from logbook.sky.night.night import Night
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.solar_system.appearance import PlanetLook, planet_look
from logbook.sky.solar_system.positions import PLANETS

SUN_CAUTION_DEG = 20.0

# Worth of a planet against its highest altitude, its hours and the width of its disc. Taste and
# common practice, no source.
_ALTITUDES, _ALTITUDE_WORTH = (10.0, 20.0, 35.0, 55.0), (0.1, 0.4, 0.8, 1.0)
_HOURS, _HOURS_WORTH = (0.0, 0.5, 2.0), (0.0, 0.6, 1.0)
_ARCSEC, _ARCSEC_WORTH = (2.0, 4.0, 8.0, 15.0, 35.0), (0.1, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class PlanetTonight:
    """One planet in one night. Instants are aware UTC; unknown is None.

    altitude_deg, azimuth_deg, ra_deg, dec_deg (of 2000.0) -- at the instant asked for.
    window -- above the limit and the horizon with the Sun more than 6° down; empty while it is
        `too_near_sun`.
    max_altitude_deg, max_altitude_utc -- within the window; None without one.
    diameter_arcsec -- of the equator. illumination -- 0 to 1.
    elongation_deg, elongation_side -- from the Sun; "east" shows in the evening.
    """

    name: str
    constellation: str
    ra_deg: float
    dec_deg: float
    altitude_deg: float
    azimuth_deg: float
    window: tuple[Interval, ...]
    hours: float
    max_altitude_deg: float | None
    max_altitude_utc: datetime | None
    diameter_arcsec: float
    diameter_px: float | None
    magnitude: float
    illumination: float
    phase_angle_deg: float
    elongation_deg: float
    elongation_side: str
    distance_au: float
    too_near_sun: bool
    score: float
    words: tuple[str, ...]


def planets_tonight(
    frame: SkyFrame,
    night: Night,
    instrument: Instrument,
    *,
    at: datetime | None = None,
    min_altitude_deg: float = 15.0,
) -> tuple[PlanetTonight, ...]:
    """All seven, best first; those that cannot be seen say why.

    at -- for where they stand; the middle of the night without one.
    """
    mjd = earth.to_mjd(at) if at else (frame.start_mjd + frame.end_mjd) / 2.0
    movers = [Mover(frame, name) for name in PLANETS]
    places = [mover.place_j2000(mjd) for mover in movers]
    homes = constellations_at(*(list(each) for each in zip(*places, strict=True)))
    found = [
        _planet(mover, night, instrument, mjd, place, home, min_altitude_deg)
        for mover, place, home in zip(movers, places, homes, strict=True)
    ]
    return tuple(sorted(found, key=lambda planet: -planet.score))


def _planet(
    mover: Mover,
    night: Night,
    instrument: Instrument,
    mjd: float,
    place: tuple[float, float],
    home: str,
    min_altitude_deg: float,
) -> PlanetTonight:
    look = planet_look(mover.frame, mover.name, mjd)
    near = look.elongation_deg < SUN_CAUTION_DEG
    window = () if near else common(mover.spans_above(min_altitude_deg), night.below_6)
    highest = mover.highest(window)
    here = np.array([mjd])
    return PlanetTonight(
        name=mover.name,
        constellation=home,
        ra_deg=place[0],
        dec_deg=place[1],
        altitude_deg=float(mover.altitude_deg(here)[0]),
        azimuth_deg=float(mover.azimuth_deg(here)[0]),
        window=window,
        hours=total_hours(window),
        max_altitude_deg=highest[0] if highest else None,
        max_altitude_utc=highest[1] if highest else None,
        diameter_arcsec=look.diameter_arcsec,
        diameter_px=instrument.pixels(look.diameter_arcsec),
        magnitude=look.magnitude,
        illumination=look.illumination,
        phase_angle_deg=look.phase_angle_deg,
        elongation_deg=look.elongation_deg,
        elongation_side="east" if look.east else "west",
        distance_au=look.distance_au,
        too_near_sun=near,
        score=_score(look, total_hours(window), highest[0] if highest else 0.0),
        words=_words(mover, night, look, window, instrument, min_altitude_deg),
    )


def _score(look: PlanetLook, hours: float, highest_deg: float) -> float:
    disc = np.interp(np.log(look.diameter_arcsec), np.log(_ARCSEC), _ARCSEC_WORTH)
    high = np.interp(highest_deg, _ALTITUDES, _ALTITUDE_WORTH)
    return float(disc * high * np.interp(hours, _HOURS, _HOURS_WORTH))


def _words(
    mover: Mover,
    night: Night,
    look: PlanetLook,
    window: tuple[Interval, ...],
    instrument: Instrument,
    min_altitude_deg: float,
) -> tuple[str, ...]:
    pixels = instrument.pixels(look.diameter_arcsec)
    size = f"{look.diameter_arcsec:.1f}″ across"
    words = [
        _when(mover, night, look, window, min_altitude_deg),
        f"{size}, {pixels:.0f} pixels" if pixels else size,
        f"magnitude {look.magnitude:.1f}".replace("-", "−"),
        f"{look.illumination * 100.0:.0f} % lit",
        f"{look.elongation_deg:.0f}° {'east' if look.east else 'west'} of the Sun",
    ]
    if mover.name == "Saturn":
        words.append(f"rings open by {abs(look.tilt_deg):.0f}°")
    return tuple(words)


def _when(
    mover: Mover,
    night: Night,
    look: PlanetLook,
    window: tuple[Interval, ...],
    min_altitude_deg: float,
) -> str:
    if look.elongation_deg < SUN_CAUTION_DEG:
        return (
            f"only {look.elongation_deg:.0f}° from the Sun: left out. Never point a telescope "
            "near the Sun"
        )
    highest = mover.highest(window)
    if highest:
        zone = zone_of(night.time_zone)
        spans = " and ".join(
            f"{event_hhmm(each.start, zone)}–{event_hhmm(each.end, zone)}" for each in window
        )
        return f"above {min_altitude_deg:g}° at {spans}, up to {highest[0]:.0f}°"
    best = mover.highest(night.below_6)
    if best is None:
        return "the Sun is never 6° below the horizon in this night"
    if best[0] > min_altitude_deg:
        return f"up to {best[0]:.0f}°, but behind the horizon of this site"
    if best[0] <= 0.0:
        return "below the horizon while the Sun is down"
    return f"up to {best[0]:.0f}° only: never above {min_altitude_deg:g}° while the Sun is down"
