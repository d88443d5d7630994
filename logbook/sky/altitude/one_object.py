"""One object on one night: when, how high, how far from the Moon, and when best."""

from dataclasses import dataclass, replace
from datetime import date, datetime

import numpy as np

from logbook.sky.altitude import sky_brightness
from logbook.sky.altitude.airmass import airmass
from logbook.sky.altitude.clear_intervals import Looks, clear_windows, looks
from logbook.sky.altitude.curve import AltitudeCurve, DirectionsAt, curve_along, fixed
from logbook.sky.altitude.visibility import SIDEREAL_DAY, spans_mjd
from logbook.sky.catalogue.objects import SkyObject
from logbook.sky.framing.field_rotation import drift_arcsec_s, rotation_deg_h
from logbook.sky.limits.limits import Limits
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Floats
from logbook.sky.night.darkness import Darkness, darkness
from logbook.sky.night.intervals import Interval, total_hours
from logbook.sky.night.night import Night
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import SkyFrame

BEST_HOURS = 2.0  # the stretch called the best is so long, or the window where that is shorter


@dataclass(frozen=True, slots=True)
class ObjectTonight:
    """What a night holds for one object. Instants are aware UTC; None is "does not happen".

    windows -- in darkness, above the limit and the horizon; `hours` is their sum.
    best -- the stretch with the least air and moonlight, BEST_HOURS long if there is as much.
    transit_utc -- crossing of the meridian in this night, at `transit_altitude_deg`.
    max_altitude_deg -- highest in the windows.
    moon_separation_deg -- least in the windows, Moon up or not.
    drift_arcsec_s -- how fast it runs through the field of a mount without a drive.
    rotation_deg_h -- fastest turn of the field in the windows on an alt-azimuth mount.
    words -- what is unusual, for the user.
    """

    night: Night
    darkness: Darkness
    curve: AltitudeCurve
    windows: tuple[Interval, ...]
    hours: float
    best: Interval | None
    transit_utc: datetime | None
    transit_altitude_deg: float
    max_altitude_deg: float | None
    moon_separation_deg: float | None
    drift_arcsec_s: float
    rotation_deg_h: float | None
    words: tuple[str, ...]


def object_tonight(
    site: Site,
    thing: SkyObject,
    local_date: date,
    limits: Limits | None = None,
    *,
    step_minutes: float = 10.0,
) -> ObjectTonight:
    """One object of the catalogue on the night of a date. Raises BadInput."""
    found = object_along(
        site, fixed(thing), local_date, limits, step_minutes=step_minutes, moves=False
    )
    words = found.words
    if thing.major_arcmin is None:
        words = (*words, "Its size is unknown.")
    if thing.magnitude is None:
        words = (*words, "Its magnitude is unknown.")
    return replace(found, words=words)


def object_along(
    site: Site,
    directions_at: DirectionsAt,
    local_date: date,
    limits: Limits | None = None,
    *,
    step_minutes: float = 10.0,
    moves: bool = True,
) -> ObjectTonight:
    """The same of anything whose directions are known, such as a planet. Raises BadInput.

    moves -- what moves among the stars does on other nights what it does not do on this one.
    """
    wanted = limits or Limits()
    night, frame = night_and_frame(site, local_date)
    dark = darkness(night, wanted.min_hours)
    spans = spans_mjd(dark.intervals)
    windows = clear_windows(frame, directions_at, spans, wanted.min_altitude_deg)
    seen = [looks(frame, directions_at, start, end) for start, end in spans_mjd(windows)]
    middle = directions_at(frame, np.array([frame.orientation.mjd]))[0]
    lowest, highest = _culminations_deg(frame, middle)
    latitude_deg = float(np.degrees(frame.latitude_rad))
    turns = [rotation_deg_h(each.altitude_deg, each.azimuth_deg, latitude_deg) for each in seen]
    return ObjectTonight(
        night=night,
        darkness=dark,
        curve=curve_along(site, night, directions_at, step_minutes=step_minutes),
        windows=windows,
        hours=total_hours(windows),
        best=_best(frame, seen),
        transit_utc=_transit(frame, directions_at, middle),
        transit_altitude_deg=highest,
        max_altitude_deg=_most([each.altitude_deg for each in seen]),
        moon_separation_deg=_least([_moon_separation_deg(frame, each) for each in seen]),
        drift_arcsec_s=float(drift_arcsec_s(np.degrees(np.arcsin(np.clip(middle[2], -1.0, 1.0))))),
        rotation_deg_h=_most([np.abs(each) for each in turns]),
        words=tuple(
            _reach_words(lowest, highest, wanted, moves=moves)
            + list(dark.words)
            + _window_words(site, dark, windows, wanted, highest)
        ),
    )


def _most(values: list[Floats]) -> float | None:
    return max((float(np.max(each)) for each in values), default=None)


def _least(values: list[Floats]) -> float | None:
    return min((float(np.min(each)) for each in values), default=None)


def _culminations_deg(frame: SkyFrame, direction: Floats) -> tuple[float, float]:
    """Lowest and highest altitude in a turn of the sky. Source: Meeus 1998, ch. 15."""
    latitude = float(np.degrees(frame.latitude_rad))
    dec = float(np.degrees(np.arcsin(np.clip(direction[2], -1.0, 1.0))))
    return abs(latitude + dec) - 90.0, 90.0 - abs(latitude - dec)


def _transit(frame: SkyFrame, directions_at: DirectionsAt, middle: Floats) -> datetime | None:
    """The crossing of the meridian that lies in this night; for what moves, found in steps."""
    instant = frame.orientation.mjd
    direction = middle
    for _ in range(4):
        hour_angle = frame.meridian_rad(instant) - np.arctan2(direction[1], direction[0])
        behind = (hour_angle + np.pi) % (2.0 * np.pi) - np.pi
        instant = float(instant - behind / (2.0 * np.pi) * SIDEREAL_DAY)
        direction = directions_at(frame, np.array([instant]))[0]
    inside = frame.start_mjd <= instant <= frame.end_mjd
    return earth.to_instant(instant) if inside else None


def _moon_separation_deg(frame: SkyFrame, seen: Looks) -> Floats:
    cosines = np.einsum("ij,ij->i", frame.moon_directions(seen.mjd), seen.there)
    return np.asarray(np.degrees(np.arccos(np.clip(cosines, -1.0, 1.0))))


def _best(frame: SkyFrame, seen: list[Looks]) -> Interval | None:
    """The stretch of the windows with the least air and moonlight."""
    ranked = [_best_in(each, _worth(frame, each)) for each in seen]
    if not ranked:
        return None
    _, start, end = max(ranked)
    return Interval(earth.to_instant(start), earth.to_instant(end))


def _best_in(seen: Looks, worth: Floats) -> tuple[float, float, float]:
    """Worth, start and end of the best stretch of one window; a longer one is worth more."""
    step = float(seen.mjd[1] - seen.mjd[0])
    count = min(len(worth), max(2, round(BEST_HOURS / 24.0 / step) + 1))
    gathered = np.concatenate([[0.0], np.cumsum(worth)])
    sums = gathered[count:] - gathered[:-count]
    first = int(np.argmax(sums))
    return float(sums[first] * step), float(seen.mjd[first]), float(seen.mjd[first + count - 1])


def _worth(frame: SkyFrame, seen: Looks) -> Floats:
    """What each look at a faint object is worth: one over the airmass, less under moonlight."""
    sun, moon = frame.sun_moon(seen.mjd)
    distance = np.linalg.norm(moon, axis=1)
    to_sun = sun - moon
    phase = -np.einsum("ij,ij->i", to_sun, moon) / (np.linalg.norm(to_sun, axis=1) * distance)
    zenith = frame.zenith(seen.mjd)
    sine = np.sin(np.radians(seen.altitude_deg))
    extinction = sky_brightness.extinction_mag(frame.site.elevation_m)
    light = sky_brightness.moonlight_nl(
        np.degrees(np.arccos(np.clip(phase, -1.0, 1.0))),
        _moon_separation_deg(frame, seen),
        sine,
        np.einsum("ij,ij->i", moon, zenith) / distance,
        extinction,
    )
    zenith_mag = frame.site.dark_sky_mag_arcsec2 or sky_brightness.DARK_SKY_MAG_ARCSEC2
    dark = sky_brightness.dark_sky_nl(sine, zenith_mag, extinction)
    return np.asarray(dark / (dark + light) / airmass(seen.altitude_deg))


def _reach_words(
    lowest_deg: float, highest_deg: float, limits: Limits, *, moves: bool
) -> list[str]:
    """What it never does at this site, or not in this night."""
    limit = f"{limits.min_altitude_deg:g}°"
    highest, lowest = f"{_minus(highest_deg)}° at its highest", f"{lowest_deg:.0f}° at its lowest"
    if highest_deg <= 0.0:
        return [f"It {_not('rise', 'rises', moves)}: {highest}."]
    if highest_deg < limits.min_altitude_deg:
        return [f"It {_not(f'reach {limit}', f'reaches {limit}', moves)}: {highest}."]
    if lowest_deg >= limits.min_altitude_deg:
        return [f"It {_not(f'sink below {limit}', f'sinks below {limit}', moves)}: {lowest}."]
    if lowest_deg >= 0.0:
        return [f"It {_not('set', 'sets', moves)}: {lowest}."]
    return []


def _not(do: str, does: str, moves: bool) -> str:
    return f"does not {do} this night" if moves else f"never {does} here"


def _minus(value: float) -> str:
    return f"{value:.0f}".replace("-", "−")


def _window_words(
    site: Site, dark: Darkness, windows: tuple[Interval, ...], limits: Limits, highest_deg: float
) -> list[str]:
    over = f"{limits.min_altitude_deg:g}°" + (" and the horizon" if site.horizon else "")
    if dark.intervals and not windows and highest_deg >= limits.min_altitude_deg:
        return [f"It does not stand above {over} in darkness this night."]
    if len(windows) > 1:
        return [f"Its time above {over} comes in {len(windows)} parts."]
    return []
