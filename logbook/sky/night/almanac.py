"""One night: Sun, twilights, Moon, and the hours that are dark."""

from dataclasses import replace
from datetime import date, datetime

import numpy as np

from logbook.sky.night import earth
from logbook.sky.night.clock import night_span, zone_of
from logbook.sky.night.intervals import Interval, common, longest, outside
from logbook.sky.night.level_crossings import Crossing, passages
from logbook.sky.night.moon_phase import moon_phase
from logbook.sky.night.night import Night
from logbook.sky.night.night_words import night_words
from logbook.sky.night.site import Site, check_position
from logbook.sky.night.sky_frame import SkyFrame, sky_frame

# Altitudes of the Sun's centre. Rising and setting: 34′ of refraction and 16′ of semidiameter.
# Source: US Naval Observatory, definitions of rise, set and twilight.
SUN_LEVELS_DEG = (-50.0 / 60.0, -6.0, -12.0, -18.0)
# The Moon rises and sets with its upper limb, as seen from the site, at 34′ below the horizon.
MOON_LIMB_DEG = -34.0 / 60.0


def night(site: Site, local_date: date) -> Night:
    """The night that begins on the evening of a local date. Raises BadInput."""
    return night_and_frame(site, local_date)[0]


def night_and_frame(site: Site, local_date: date) -> tuple[Night, SkyFrame]:
    """The night, and the sky it was computed with. Raises BadInput."""
    check_position(site)
    zone = zone_of(site.time_zone)
    frame = sky_frame(site, *night_span(zone, local_date))
    found = _night(frame, local_date)
    return replace(found, words=night_words(found, zone, frame.orientation.words)), frame


def _night(frame: SkyFrame, local_date: date) -> Night:
    start, end = frame.start_mjd, frame.end_mjd
    sun = passages(frame.sun_altitude_deg, start, end, SUN_LEVELS_DEG)
    moon = passages(frame.moon_upper_limb_deg, start, end, (MOON_LIMB_DEG,))
    below = [_intervals(sun.spans(i, level, above=False)) for i, level in enumerate(SUN_LEVELS_DEG)]
    ends = [_dusk_and_dawn(each, frame) for each in below]
    moon_up = _intervals(moon.spans(0, MOON_LIMB_DEG, above=True))
    phase = moon_phase((start + end) / 2.0)
    noon, next_noon = earth.to_instant(start), earth.to_instant(end)
    lowest = int(np.argmin(sun.values))
    return Night(
        local_date=local_date,
        noon_utc=noon,
        next_noon_utc=next_noon,
        time_zone=frame.site.time_zone,
        sunset=ends[0][0],
        sunrise=ends[0][1],
        civil_dusk=ends[1][0],
        civil_dawn=ends[1][1],
        nautical_dusk=ends[2][0],
        nautical_dawn=ends[2][1],
        astronomical_dusk=ends[3][0],
        astronomical_dawn=ends[3][1],
        sun_down=below[0],
        below_6=below[1],
        below_12=below[2],
        below_18=below[3],
        dark=longest(below[3]),
        lowest_sun_deg=float(sun.values[lowest]),
        lowest_sun_utc=earth.to_instant(sun.nodes[lowest]),
        moon_rises=_instants(moon.crossings[0], rising=True),
        moon_sets=_instants(moon.crossings[0], rising=False),
        moon_up=moon_up,
        moonless_dark=common(below[3], outside(moon_up, noon, next_noon)),
        moon_illumination=phase.illumination,
        moon_age_days=phase.age_days,
        moon_waxing=phase.elongation_deg < 180.0,
        moon_phase=phase.words,
        words=(),
    )


def _intervals(spans: list[tuple[float, float]]) -> tuple[Interval, ...]:
    return tuple(Interval(earth.to_instant(a), earth.to_instant(b)) for a, b in spans)


def _dusk_and_dawn(
    below: tuple[Interval, ...], frame: SkyFrame
) -> tuple[datetime | None, datetime | None]:
    """Begin and end of the longest stretch, each None where it is only cut off by noon."""
    stretch = longest(below)
    if stretch is None:
        return None, None
    noons = earth.to_instant(frame.start_mjd), earth.to_instant(frame.end_mjd)
    dusk = stretch.start if stretch.start != noons[0] else None
    dawn = stretch.end if stretch.end != noons[1] else None
    return dusk, dawn


def _instants(found: tuple[Crossing, ...], *, rising: bool) -> tuple[datetime, ...]:
    return tuple(earth.to_instant(each.mjd) for each in found if each.rising == rising)
