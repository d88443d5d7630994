"""What can be done on a night that is too bright for faint objects, in one list."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

import numpy as np

from logbook.sky.altitude.ephemeris import Mover
from logbook.sky.bright_night.doubles_tonight import DoubleTonight, doubles_tonight
from logbook.sky.bright_night.moon_tonight import FeatureTonight, MoonTonight, moon_tonight
from logbook.sky.bright_night.star_test_star import StarTestStar, star_test_stars
from logbook.sky.bright_night.tonight import PlanetTonight, planets_tonight
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.clock import event_hhmm
from logbook.sky.night.intervals import Interval, total_hours
from logbook.sky.night.night import Night
from logbook.sky.night.sky_frame import SkyFrame
from logbook.text import clean

_MOST_FEATURES, _MOST_DOUBLES, _MOST_STARS = 5, 8, 2
_FEATURES_DEG = 15.0  # the Moon and planets may stand lower than a pair that is to be split

# Weights of the kinds against each other, each times a score of its own. Taste, no source.
_MOON, _FEATURE, _PLANET, _DOUBLE, _STAR_TEST = 1.0, 0.85, 0.95, 0.7, 0.6
_UPKEEP_SCORE = 0.35
_MOON_HOURS, _MOON_HOURS_WORTH = (0.0, 1.0, 4.0), (0.0, 0.6, 1.0)
_MOON_ALTITUDES, _MOON_ALTITUDE_WORTH = (15.0, 30.0, 50.0), (0.4, 0.8, 1.0)
_WITHOUT_SHADOWS = 0.6


@dataclass(frozen=True, slots=True)
class Instead:
    """One thing to do. Instants are aware UTC; None where it can be done at any time.

    kind -- "Moon", "Moon feature", "planet", "double star", "star test" or "upkeep".
    name -- what finds its details: a planet's or feature's name, the id of a pair or star.
    score -- 0 to 1, comparable between the kinds.
    """

    kind: str
    name: str
    title: str
    from_utc: datetime | None
    to_utc: datetime | None
    score: float
    reasons: tuple[str, ...]


def instead_tonight(
    frame: SkyFrame,
    night: Night,
    instrument: Instrument,
    *,
    at: datetime | None = None,
    upkeep: Sequence[str] = (),
    min_altitude_deg: float = 20.0,
) -> tuple[Instead, ...]:
    """Everything of a night, best first.

    at -- for the star test and the Moon's face; without one the middle of the dark, or of the
        night.
    upkeep -- what is due, in words.
    min_altitude_deg -- for pairs; the Moon and planets from 15°.
    """
    at = at or _middle(frame, night)
    moon = moon_tonight(frame, night, instrument, at, min_altitude_deg=_FEATURES_DEG)
    planets = planets_tonight(frame, night, instrument, at=at, min_altitude_deg=_FEATURES_DEG)
    pairs = doubles_tonight(
        frame, night, instrument, min_altitude_deg=min_altitude_deg, most=_MOST_DOUBLES
    )
    stars = star_test_stars(frame, instrument, at, most=_MOST_STARS).stars
    found = [_moon(frame, moon)] if moon.up else []
    found += [_feature(each) for each in moon.features[:_MOST_FEATURES] if each.score > 0.0]
    found += [_planet(each) for each in planets if each.window]
    found += [_double(each) for each in pairs.doubles if each.score > 0.0]
    found += [_star(each) for each in stars] if night.below_6 else []
    found += [_upkeep(words) for words in upkeep]
    return tuple(sorted(found, key=lambda each: -each.score))


def text_lines(found: Sequence[Instead], zone: tzinfo) -> list[str]:
    """The list as plain text, one line each."""
    return [_line(each, zone) for each in found]


def _line(each: Instead, zone: tzinfo) -> str:
    when = ""
    if each.from_utc is not None and each.to_utc is not None:
        when = f"{event_hhmm(each.from_utc, zone)}–{event_hhmm(each.to_utc, zone)}"
    reasons = "; ".join(each.reasons)
    return f"{each.score:4.2f}  {when:11}  {each.kind}: {each.title} ({reasons})"


def _middle(frame: SkyFrame, night: Night) -> datetime:
    if night.below_6:
        first, last = night.below_6[0].start, night.below_6[-1].end
        return first + (last - first) / 2
    return earth.to_instant((frame.start_mjd + frame.end_mjd) / 2.0)


def _ends(window: tuple[Interval, ...]) -> tuple[datetime, datetime]:
    return window[0].start, window[-1].end


def _moon(frame: SkyFrame, moon: MoonTonight) -> Instead:
    highest = Mover(frame, "Moon").highest(moon.up)
    high = np.interp(highest[0] if highest else 0.0, _MOON_ALTITUDES, _MOON_ALTITUDE_WORTH)
    score = _MOON * high * np.interp(total_hours(moon.up), _MOON_HOURS, _MOON_HOURS_WORTH)
    if moon.state.visible_terminator == "neither":
        score *= _WITHOUT_SHADOWS
    reasons = (
        f"{moon.state.illumination * 100.0:.0f} % lit",
        f"colongitude {moon.state.colongitude_deg:.0f}°",
        *(words.rstrip(".") for words in moon.words),
    )
    return Instead("Moon", "Moon", "the Moon", *_ends(moon.up), float(score), reasons)


def _feature(feature: FeatureTonight) -> Instead:
    size = "" if feature.diameter_km is None else f"{feature.diameter_km:g} km"
    reasons = (f"{feature.kind} {size}".rstrip(), feature.words)
    times = feature.best_from_utc, feature.best_to_utc
    title = f"{feature.name} on the Moon"
    score = _FEATURE * feature.score
    return Instead("Moon feature", feature.name, title, *times, score, reasons)


def _planet(planet: PlanetTonight) -> Instead:
    times = _ends(planet.window)
    score = _PLANET * planet.score
    return Instead("planet", planet.name, planet.name, *times, score, planet.words)


def _double(double: DoubleTonight) -> Instead:
    star, times = double.star, _ends(double.window)
    reasons = (double.difficulty, *double.reasons)
    return Instead("double star", star.id, star.name, *times, _DOUBLE * double.score, reasons)


def _star(star: StarTestStar) -> Instead:
    times = star.altitudes_deg[0][0], star.altitudes_deg[-1][0]
    title = f"star test on {star.name}"
    score = _STAR_TEST * star.score
    return Instead("star test", star.object_id, title, *times, score, star.reasons)


def _upkeep(words: str) -> Instead:
    title = clean(words, longest=200)
    return Instead("upkeep", title, title, None, None, _UPKEEP_SCORE, ("due",))
