"""The Moon through a night: what of its face is worth a look now and later."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from logbook.errors import BadInput
from logbook.sky.altitude.ephemeris import Mover, body_object
from logbook.sky.bright_night.tonight import SUN_CAUTION_DEG
from logbook.sky.catalogue.objects import MoonFeature
from logbook.sky.framing.instrument import Instrument
from logbook.sky.framing.mosaic import OVERLAP, Mosaic, mosaic
from logbook.sky.night import earth
from logbook.sky.night.clock import event_hhmm, zone_of
from logbook.sky.night.intervals import Interval, common
from logbook.sky.night.night import Night
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.solar_system.appearance import angle_deg
from logbook.sky.solar_system.feature_light import LOW_SUN_DEG, FeatureLight, features_in_low_light
from logbook.sky.solar_system.moon_surface import MoonState, moon_state

_MOON_RADIUS_KM = 1737.4
_NEAR_LIMB_DEG = 65.0


@dataclass(frozen=True, slots=True)
class FeatureTonight:
    """A named feature in one night; instants are aware UTC, unknown or "not tonight" is None.

    sun_altitude_deg -- there, at the instant asked for.
    sunrise_utc, sunset_utc -- of the Sun there, if between the noons of this night.
    best_from_utc, best_to_utc -- low light there while the Moon stands high enough in the dark.
    """

    name: str
    kind: str
    latitude_deg: float
    longitude_deg: float
    diameter_km: float | None
    diameter_arcsec: float | None
    diameter_px: float | None
    sun_altitude_deg: float
    sunrise_utc: datetime | None
    sunset_utc: datetime | None
    best_from_utc: datetime | None
    best_to_utc: datetime | None
    near_limb: bool
    score: float
    words: str


@dataclass(frozen=True, slots=True)
class MoonTonight:
    """up -- the Moon above the limit and the horizon with the Sun more than 6° down.

    features -- in low light now or at some time of `up`, best first.
    panels -- frames for the whole disc; None where the field is not known or far too small.
    """

    state: MoonState
    up: tuple[Interval, ...]
    features: tuple[FeatureTonight, ...]
    panels: Mosaic | None
    words: tuple[str, ...]


def moon_tonight(
    frame: SkyFrame,
    night: Night,
    instrument: Instrument,
    at: datetime,
    *,
    min_altitude_deg: float = 15.0,
    overlap: float = OVERLAP,
    most: int = 40,
) -> MoonTonight:
    """The Moon at an aware instant of the night and through the rest of it. Raises BadInput for
    an impossible overlap."""
    state = moon_state(frame, at)
    up = common(Mover(frame, "Moon").spans_above(min_altitude_deg), night.below_6)
    panels, panel_words = _panels(frame, instrument, at, overlap)
    lights = features_in_low_light(frame, state, up, most)
    features = tuple(_feature(light, state, night, instrument) for light in lights)
    words = [_up_words(night, up, min_altitude_deg), *state.words, panel_words]
    from_sun = angle_deg(*(each[0] for each in frame.sun_moon(np.array([earth.to_mjd(at)]))))
    if from_sun < SUN_CAUTION_DEG:
        words.insert(0, f"Only {from_sun:.0f}° from the Sun: never point a telescope near the Sun.")
    if up and not features:
        words.append("No named feature is in low light: look at rays and bright patches instead.")
    return MoonTonight(state, up, features, panels, tuple(words))


def _up_words(night: Night, up: tuple[Interval, ...], min_altitude_deg: float) -> str:
    if up:
        zone = zone_of(night.time_zone)
        spans = (f"{event_hhmm(a.start, zone)}–{event_hhmm(a.end, zone)}" for a in up)
        return f"Above {min_altitude_deg:g}° in the dark at {' and '.join(spans)}."
    if not night.below_6:
        return "The Sun is never 6° below the horizon in this night."
    if not night.moon_up:
        return "The Moon does not rise in this night."
    return f"The Moon is never above {min_altitude_deg:g}° and the horizon while the Sun is down."


def _panels(
    frame: SkyFrame, instrument: Instrument, at: datetime, overlap: float
) -> tuple[Mosaic | None, str]:
    moon = body_object(frame, "Moon", at)
    minutes = moon.major_arcmin or 0.0
    disc = f"The disc is {minutes:.1f}′ across"
    if instrument.field is None:
        return None, f"{disc}; the field of this train is not known."
    if not 0.0 <= overlap <= 0.8:
        raise BadInput(f"an overlap of {overlap * 100:g} % is not possible: 0 to 80 %")
    try:
        panels = mosaic(moon, instrument.field.field_deg, overlap=overlap)
    except BadInput as refusal:
        return None, f"{disc}: for all of it {refusal}."
    part = minutes / 60.0 / min(instrument.field.field_deg)
    if len(panels.panels) == 1:
        return panels, f"{disc} and fits: {part * 100.0:.0f} % of the short side."
    return panels, (
        f"{disc}, {part:.2f} × the short side: {len(panels.panels)} frames, {panels.columns} "
        f"across and {panels.rows} down, lapping over by {overlap * 100.0:.0f} %. "
        "It moves 0.5″ a second among the stars: follow the Moon, not the stars."
    )


def _feature(
    light: FeatureLight, state: MoonState, night: Night, instrument: Instrument
) -> FeatureTonight:
    feature = light.feature
    arcsec = _arcsec(feature, state)
    near_limb = light.from_middle_deg > _NEAR_LIMB_DEG
    return FeatureTonight(
        name=feature.name,
        kind=feature.kind,
        latitude_deg=feature.latitude_deg,
        longitude_deg=feature.longitude_deg,
        diameter_km=feature.diameter_km,
        diameter_arcsec=arcsec,
        diameter_px=None if arcsec is None else instrument.pixels(arcsec),
        sun_altitude_deg=light.sun_altitude_deg,
        sunrise_utc=light.sunrise_utc,
        sunset_utc=light.sunset_utc,
        best_from_utc=light.low_from_utc,
        best_to_utc=light.low_to_utc,
        near_limb=near_limb,
        score=light.score,
        words=_feature_words(night, light, near_limb),
    )


def _arcsec(feature: MoonFeature, state: MoonState) -> float | None:
    if feature.diameter_km is None:
        return None
    return feature.diameter_km / (2.0 * _MOON_RADIUS_KM) * state.diameter_arcsec


def _feature_words(night: Night, light: FeatureLight, near_limb: bool) -> str:
    zone = zone_of(night.time_zone)
    words = [_sun_words(light.sun_altitude_deg)]
    if light.sunrise_utc is not None:
        words.append(f"sunrise there at {event_hhmm(light.sunrise_utc, zone)}")
    if light.sunset_utc is not None:
        words.append(f"sunset there at {event_hhmm(light.sunset_utc, zone)}")
    if light.low_from_utc is None or light.low_to_utc is None:
        words.append("no low light while the Moon is up in the dark")
    else:
        start, end = event_hhmm(light.low_from_utc, zone), event_hhmm(light.low_to_utc, zone)
        words.append(f"best {start}–{end}")
    return ", ".join([*words, "near the limb"] if near_limb else words)


def _sun_words(sun_deg: float) -> str:
    if sun_deg < -0.3:
        return f"now in the dark, the Sun {-sun_deg:.1f}° down"
    if sun_deg < LOW_SUN_DEG[0]:
        return "now on the terminator"
    return f"the Sun now {sun_deg:.1f}° high there"
