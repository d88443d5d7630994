"""Which named features of the Moon stand in low light, now and through a night."""

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from logbook.sky.catalogue.objects import MoonFeature, moon_features
from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.intervals import Interval
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.solar_system.moon_surface import MoonState, colongitudes, sun_altitude_deg

# Shadows are long while the Sun stands this high. Common practice, no source.
LOW_SUN_DEG = (0.3, 8.0)
_STEP = 10.0 / 1440.0
_SUNS, _SUN_WORTH = (-0.3, 0.3, 1.5, 4.0, 8.0, 20.0), (0.0, 0.4, 1.0, 0.9, 0.45, 0.0)
# Worth against width and against distance from the middle of the disc as it is turned. Taste.
_WIDTHS_KM, _WIDTH_WORTH = (10.0, 40.0, 80.0, 200.0, 600.0), (0.3, 0.7, 1.0, 1.0, 0.6)
_FROM_MIDDLE_DEG, _MIDDLE_WORTH = (0.0, 50.0, 70.0, 85.0), (1.0, 0.9, 0.5, 0.0)
_UNKNOWN_WIDTH_KM = 60.0
# Seas have low walls and few shadows, rilles and ridges are narrow.
_KIND_WORTH = dict.fromkeys(("sea", "bay", "lake", "marsh", "ocean"), 0.6) | dict.fromkeys(
    ("rille", "rilles", "ridge", "ridges", "crater chain"), 0.75
)


@dataclass(frozen=True, slots=True)
class FeatureLight:
    """The Sun over one feature. Instants are aware UTC; None is "not in this night".

    from_middle_deg -- distance on the Moon from the place that faces the site.
    sun_altitude_deg -- now. low_from_utc, low_to_utc -- first and last low light while the Moon is
        up in the dark.
    score -- 0 to 1, the best of that time; 0 where there is low light only now.
    """

    feature: MoonFeature
    from_middle_deg: float
    sun_altitude_deg: float
    sunrise_utc: datetime | None
    sunset_utc: datetime | None
    low_from_utc: datetime | None
    low_to_utc: datetime | None
    score: float


def features_in_low_light(
    frame: SkyFrame, state: MoonState, up: tuple[Interval, ...], most: int
) -> list[FeatureLight]:
    """Features in low light at the state's instant or at some time of `up`, best first."""
    features = _Features(moon_features(), state)
    times = np.concatenate([[earth.to_mjd(state.at)], _grid(up)])
    suns = features.suns(*colongitudes(frame, times))  # (features, instants), the first is now
    worth = np.interp(suns, _SUNS, _SUN_WORTH) * features.worth[:, None]
    later = np.max(worth[:, 1:], axis=1, initial=0.0)
    shown = np.flatnonzero(np.maximum(later, worth[:, 0]) > 0.0)
    order = shown[np.lexsort((-worth[shown, 0], -later[shown]))][:most]
    rises, sets = features.events(frame)
    found = []
    for row in order:
        window = _window(suns[row, 1:], times[1:])
        found.append(
            FeatureLight(
                feature=features.features[row],
                from_middle_deg=float(features.from_middle_deg[row]),
                sun_altitude_deg=float(suns[row, 0]),
                sunrise_utc=_maybe(rises[row]),
                sunset_utc=_maybe(sets[row]),
                low_from_utc=window[0],
                low_to_utc=window[1],
                score=float(later[row]),
            )
        )
    return found


class _Features:
    """Named features as columns, with the Moon turned as it is."""

    def __init__(self, features: tuple[MoonFeature, ...], state: MoonState) -> None:
        self.features = features
        self.latitude = np.array([each.latitude_deg for each in features])
        self.longitude = np.array([each.longitude_deg for each in features])
        self.from_middle_deg = self._from_middle_deg(state)
        wide = [each.diameter_km or _UNKNOWN_WIDTH_KM for each in features]
        liking = np.array([_KIND_WORTH.get(each.kind, 1.0) for each in features])
        self.worth: Floats = (
            liking
            * np.interp(np.log(wide), np.log(_WIDTHS_KM), _WIDTH_WORTH)
            * np.interp(self.from_middle_deg, _FROM_MIDDLE_DEG, _MIDDLE_WORTH)
        )

    def _from_middle_deg(self, state: MoonState) -> Floats:
        here, there = np.radians(state.libration_latitude_deg), np.radians(self.latitude)
        turn = np.radians(self.longitude - state.libration_longitude_deg)
        cosine = np.sin(here) * np.sin(there) + np.cos(here) * np.cos(there) * np.cos(turn)
        return np.asarray(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))

    def suns(self, colongitude_deg: Floats, subsolar_latitude_deg: Floats) -> Floats:
        """Altitudes of the Sun (features, instants)."""
        return sun_altitude_deg(
            colongitude_deg,
            subsolar_latitude_deg,
            self.latitude[:, None],
            self.longitude[:, None],
        )

    def events(self, frame: SkyFrame) -> tuple[Floats, Floats]:
        """When the Sun rises and sets at each feature, MJD; NaN if not between the noons.

        In one night the sub-solar latitude hardly moves (0.06°): its mean will do.
        """
        hours = np.linspace(frame.start_mjd, frame.end_mjd, 25)
        colongitude, sub_latitude = colongitudes(frame, hours)
        turned = np.degrees(np.unwrap(np.radians(colongitude)))
        sine = -np.tan(np.radians(np.mean(sub_latitude))) * np.tan(np.radians(self.latitude))
        lag = np.degrees(np.arcsin(np.where(np.abs(sine) <= 1.0, sine, np.nan)))
        rises = _when(lag - self.longitude, turned, hours)
        return rises, _when(180.0 - lag - self.longitude, turned, hours)


def _when(wanted_deg: Floats, turned_deg: Floats, hours: Floats) -> Floats:
    """When the colongitude comes to a value; NaN after the last hour."""
    wanted = (wanted_deg - turned_deg[0]) % 360.0 + turned_deg[0]
    return np.asarray(np.interp(wanted, turned_deg, hours, right=np.nan))


def _grid(up: tuple[Interval, ...]) -> Floats:
    """Instants through all spans, ten minutes apart and at both ends."""
    spans = [(earth.to_mjd(each.start), earth.to_mjd(each.end)) for each in up]
    pieces = [np.linspace(a, b, 2 + int((b - a) / _STEP)) for a, b in spans]
    return np.concatenate(pieces) if pieces else np.array([])


def _window(suns: Floats, times: Floats) -> tuple[datetime, datetime] | tuple[None, None]:
    low = times[(suns >= LOW_SUN_DEG[0]) & (suns <= LOW_SUN_DEG[1])]
    return (earth.to_instant(low[0]), earth.to_instant(low[-1])) if low.size else (None, None)


def _maybe(mjd: float) -> datetime | None:
    return None if np.isnan(mjd) else earth.to_instant(mjd)
