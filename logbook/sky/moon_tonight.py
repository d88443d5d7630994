"""The Moon through a night: what of its face is worth a look now and later."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from logbook.errors import BadInput
from logbook.sky import earth
from logbook.sky.arrays import Bools, Floats
from logbook.sky.catalogue import MoonFeature, moon_features
from logbook.sky.clock import local_hhmm, zone_of
from logbook.sky.frame import SkyFrame
from logbook.sky.instrument import Instrument
from logbook.sky.intervals import Interval, common
from logbook.sky.moon_surface import MoonState, colongitudes, moon_state, sun_altitude_deg
from logbook.sky.mosaic import OVERLAP, Mosaic, mosaic
from logbook.sky.moving import Mover, body_object
from logbook.sky.night import Night
from logbook.sky.planet_look import angle_deg
from logbook.sky.planets import SUN_CAUTION_DEG

_STEP = 10.0 / 1440.0
_MOON_RADIUS_KM = 1737.4
# Shadows are long while the Sun stands this high. Common practice, no source.
_LOW_SUN_DEG = (0.3, 8.0)
_SUNS, _SUN_WORTH = (-0.3, 0.3, 1.5, 4.0, 8.0, 20.0), (0.0, 0.4, 1.0, 0.9, 0.45, 0.0)
# Worth against width and against distance from the middle of the disc as it is turned. Taste.
_WIDTHS_KM, _WIDTH_WORTH = (10.0, 40.0, 80.0, 200.0, 600.0), (0.3, 0.7, 1.0, 1.0, 0.6)
_FROM_MIDDLE_DEG, _MIDDLE_WORTH = (0.0, 50.0, 70.0, 85.0), (1.0, 0.9, 0.5, 0.0)
_NEAR_LIMB_DEG = 65.0
_UNKNOWN_WIDTH_KM = 60.0
# Seas have low walls and few shadows, rilles and ridges are narrow.
_KIND_WORTH = dict.fromkeys(("sea", "bay", "lake", "marsh", "ocean"), 0.6) | dict.fromkeys(
    ("rille", "rilles", "ridge", "ridges", "crater chain"), 0.75
)


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
    features = _features(frame, night, instrument, state, up, most)
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
        spans = (f"{local_hhmm(a.start, zone)}–{local_hhmm(a.end, zone)}" for a in up)
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


def _features(
    frame: SkyFrame,
    night: Night,
    instrument: Instrument,
    state: MoonState,
    up: tuple[Interval, ...],
    most: int,
) -> tuple[FeatureTonight, ...]:
    features = _Features(moon_features(), frame, state)
    times = np.concatenate([features.now, _grid(up)])
    colongitude, sub_latitude = colongitudes(frame, times)
    suns = features.suns(colongitude, sub_latitude)  # (features, 1 + instants); the first is now
    worth = np.interp(suns, _SUNS, _SUN_WORTH) * features.worth[:, None]
    best = worth[:, 1:].max(axis=1) if len(times) > 1 else np.zeros(len(suns))
    low = (suns >= _LOW_SUN_DEG[0]) & (suns <= _LOW_SUN_DEG[1])
    shown = np.flatnonzero(np.maximum(best, worth[:, 0]) > 0.0)
    order = shown[np.lexsort((-worth[shown, 0], -best[shown]))][:most]
    events = features.events()
    return tuple(
        _feature(features, int(row), night, instrument, events, suns[row], low[row], times, best)
        for row in order
    )


class _Features:
    """All named features as columns, with the Moon turned as it is."""

    def __init__(
        self, features: tuple[MoonFeature, ...], frame: SkyFrame, state: MoonState
    ) -> None:
        self.features = features
        self.frame = frame
        self.state = state
        self.now = np.array([earth.to_mjd(state.at)])
        self.latitude = np.array([each.latitude_deg for each in features])
        self.longitude = np.array([each.longitude_deg for each in features])
        wide = [each.diameter_km or _UNKNOWN_WIDTH_KM for each in features]
        liking = np.array([_KIND_WORTH.get(each.kind, 1.0) for each in features])
        self.from_middle = self._from_middle_deg()
        self.worth: Floats = (
            liking
            * np.interp(np.log(wide), np.log(_WIDTHS_KM), _WIDTH_WORTH)
            * np.interp(self.from_middle, _FROM_MIDDLE_DEG, _MIDDLE_WORTH)
        )

    def _from_middle_deg(self) -> Floats:
        """Distance on the Moon from the place that faces the site."""
        here = np.radians(self.state.libration_latitude_deg)
        there = np.radians(self.latitude)
        turn = np.radians(self.longitude - self.state.libration_longitude_deg)
        cosine = np.sin(here) * np.sin(there) + np.cos(here) * np.cos(there) * np.cos(turn)
        return np.asarray(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))

    def suns(self, colongitude: Floats, sub_latitude: Floats) -> Floats:
        """Altitudes of the Sun (features, instants)."""
        return sun_altitude_deg(
            colongitude, sub_latitude, self.latitude[:, None], self.longitude[:, None]
        )

    def events(self) -> tuple[Floats, Floats]:
        """When the Sun rises and sets at each feature, MJD; NaN if not between the noons.

        In this night's hours the sub-solar latitude stands still (0.06° at most).
        """
        hours = np.linspace(self.frame.start_mjd, self.frame.end_mjd, 25)
        colongitude, sub_latitude = colongitudes(self.frame, hours)
        unwound = np.degrees(np.unwrap(np.radians(colongitude)))
        half = np.radians(np.mean(sub_latitude))
        lag = np.degrees(
            np.arcsin(np.clip(-np.tan(half) * np.tan(np.radians(self.latitude)), -1.0, 1.0))
        )
        rises = self._when(lag - self.longitude, unwound, hours)
        return rises, self._when(180.0 - lag - self.longitude, unwound, hours)

    @staticmethod
    def _when(wanted: Floats, unwound: Floats, hours: Floats) -> Floats:
        wanted = (wanted - unwound[0]) % 360.0 + unwound[0]
        return np.interp(wanted, unwound, hours, right=np.nan)


def _grid(up: tuple[Interval, ...]) -> Floats:
    """Instants through all spans, ten minutes apart and at both ends."""
    spans = [(earth.to_mjd(each.start), earth.to_mjd(each.end)) for each in up]
    pieces = [np.linspace(a, b, 2 + int((b - a) / _STEP)) for a, b in spans]
    return np.concatenate(pieces) if pieces else np.array([])


def _feature(
    features: _Features,
    row: int,
    night: Night,
    instrument: Instrument,
    events: tuple[Floats, Floats],
    suns: Floats,
    low: Bools,
    times: Floats,
    best: Floats,
) -> FeatureTonight:
    feature = features.features[row]
    sunrise, sunset = (_maybe(each[row]) for each in events)
    later = times[1:][low[1:]]
    window = (earth.to_instant(later[0]), earth.to_instant(later[-1])) if later.size else None
    arcsec = _arcsec(feature, features.state)
    near_limb = bool(features.from_middle[row] > _NEAR_LIMB_DEG)
    return FeatureTonight(
        name=feature.name,
        kind=feature.kind,
        latitude_deg=feature.latitude_deg,
        longitude_deg=feature.longitude_deg,
        diameter_km=feature.diameter_km,
        diameter_arcsec=arcsec,
        diameter_px=None if arcsec is None else instrument.pixels(arcsec),
        sun_altitude_deg=float(suns[0]),
        sunrise_utc=sunrise,
        sunset_utc=sunset,
        best_from_utc=window[0] if window else None,
        best_to_utc=window[1] if window else None,
        near_limb=near_limb,
        score=float(best[row]),
        words=_feature_words(night, float(suns[0]), sunrise, sunset, window, near_limb),
    )


def _arcsec(feature: MoonFeature, state: MoonState) -> float | None:
    if feature.diameter_km is None:
        return None
    return feature.diameter_km / (2.0 * _MOON_RADIUS_KM) * state.diameter_arcsec


def _feature_words(
    night: Night,
    sun_deg: float,
    sunrise: datetime | None,
    sunset: datetime | None,
    window: tuple[datetime, datetime] | None,
    near_limb: bool,
) -> str:
    zone = zone_of(night.time_zone)
    words = [_sun_words(sun_deg)]
    if sunrise is not None:
        words.append(f"sunrise there at {local_hhmm(sunrise, zone)}")
    if sunset is not None:
        words.append(f"sunset there at {local_hhmm(sunset, zone)}")
    if window is None:
        words.append("no low light while the Moon is up in the dark")
    else:
        words.append(f"best {local_hhmm(window[0], zone)}–{local_hhmm(window[1], zone)}")
    return ", ".join([*words, "near the limb"] if near_limb else words)


def _sun_words(sun_deg: float) -> str:
    if sun_deg < -0.3:
        return f"now in the dark, the Sun {-sun_deg:.1f}° down"
    if sun_deg < _LOW_SUN_DEG[0]:
        return "now on the terminator"
    return f"the Sun now {sun_deg:.1f}° high there"


def _maybe(mjd: float) -> datetime | None:
    return None if np.isnan(mjd) else earth.to_instant(mjd)
