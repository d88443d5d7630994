"""The Moon's face through a night: what stands near the terminator, and how it fits the frame."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from logbook.errors import BadInput
from logbook.sky.bright_night.moon_tonight import FeatureTonight, MoonTonight, moon_tonight
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.site import Site
from logbook.sky.solar_system.moon_surface import colongitudes, sun_altitude_deg
from tests.sky import tables

FIELD = FieldOfView("long focus", 1624.0, 0.4776, (0.829, 0.553))
LONG = Instrument(203.0, FIELD)


def tonight(
    day: date,
    hour: float = 21.0,
    site: Site = tables.WALES,
    instrument: Instrument = LONG,
    most: int = 40,
) -> MoonTonight:
    night, frame = night_and_frame(site, day)
    midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
    return moon_tonight(frame, night, instrument, midnight + timedelta(hours=hour), most=most)


def named(moon: MoonTonight, name: str) -> FeatureTonight:
    return next(feature for feature in moon.features if feature.name == name)


def test_the_sun_rises_over_copernicus_when_it_should() -> None:
    # Source: DE421 vectors, sunrise at Copernicus 2026-11-18 16:18 UT. The terminator needs 5
    # minutes for what the optical libration leaves out, 24 for the 0.2 degree by which the shipped
    # place of a crater may be off.
    found = named(tonight(date(2026, 11, 18), most=1000), "Copernicus")
    assert found.sunrise_utc is not None
    assert abs(found.sunrise_utc - datetime(2026, 11, 18, 16, 18, tzinfo=UTC)) < timedelta(
        minutes=30
    )
    assert found.sunset_utc is None
    assert found.words.startswith("the Sun now")


def test_at_sunrise_the_sun_stands_on_the_horizon_of_every_feature() -> None:
    night, frame = night_and_frame(tables.WALES, date(2026, 11, 18))
    moon = moon_tonight(frame, night, LONG, night.noon_utc + timedelta(hours=8), most=1000)
    events = [
        (feature, instant)
        for feature in moon.features
        for instant in (feature.sunrise_utc, feature.sunset_utc)
        if instant is not None
    ]
    assert len(events) > 20
    for feature, instant in events:
        sub = colongitudes(frame, np.array([earth.to_mjd(instant)]))
        height = sun_altitude_deg(*sub, feature.latitude_deg, feature.longitude_deg)
        assert height == pytest.approx(0.0, abs=0.05)


def test_low_light_lasts_only_while_the_moon_is_up_in_the_dark() -> None:
    night, frame = night_and_frame(tables.WALES, date(2026, 11, 21))
    moon = moon_tonight(frame, night, LONG, night.noon_utc + timedelta(hours=9))
    (up,) = moon.up
    assert moon.features[0].score == max(feature.score for feature in moon.features)
    for feature in moon.features:
        assert feature.best_from_utc is not None
        assert feature.best_to_utc is not None
        assert (
            up.start
            <= feature.best_from_utc
            <= feature.best_to_utc
            <= up.end + timedelta(seconds=1)
        )
        mjd = np.array(
            [earth.to_mjd(each) for each in (feature.best_from_utc, feature.best_to_utc)]
        )
        suns = sun_altitude_deg(
            *colongitudes(frame, mjd), feature.latitude_deg, feature.longitude_deg
        )
        assert np.all((suns > 0.29) & (suns < 8.01))


def test_features_near_the_limb_say_so_and_count_less() -> None:
    # Full Moon, 2026-11-24: the terminator is at the limb.
    moon = tonight(date(2026, 11, 24), site=tables.CAPE)
    assert moon.state.visible_terminator == "neither"
    assert all(feature.near_limb for feature in moon.features)
    assert max(feature.score for feature in moon.features) < 0.5
    assert any("near full Moon" in words for words in moon.words)


def test_the_disc_in_a_wide_and_in_a_narrow_field() -> None:
    day = date(2026, 11, 21)
    narrow = Instrument(203.0, FieldOfView("small chip", 1624.0, 0.5, (0.25, 0.2)))
    wide, mosaic = tonight(day), tonight(day, instrument=narrow)
    assert wide.panels is not None
    assert len(wide.panels.panels) == 1
    assert mosaic.panels is not None
    # 32.5 minutes: 1 + (0.542 - 0.25) / 0.2 -> 3 across, 1 + (0.542 - 0.2) / 0.16 -> 4 down.
    assert (mosaic.panels.columns, mosaic.panels.rows) == (3, 4)
    assert any("follow the Moon" in words for words in mosaic.words)


def test_a_field_that_is_not_known_or_absurd_is_said() -> None:
    day = date(2026, 11, 21)
    assert tonight(day, instrument=Instrument(None, None)).panels is None
    tiny = Instrument(203.0, FieldOfView("pinhole", 1624.0, 0.5, (0.01, 0.01)))
    moon = tonight(day, instrument=tiny)
    assert moon.panels is None
    assert any("wider field" in words for words in moon.words)
    night, frame = night_and_frame(tables.WALES, day)
    with pytest.raises(BadInput, match="overlap"):
        moon_tonight(frame, night, LONG, night.noon_utc, overlap=0.95)


def test_a_summer_night_without_dusk_has_no_time_for_the_moon() -> None:
    moon = tonight(date(2026, 6, 20), site=tables.TROMS)
    assert moon.up == ()
    assert "never 6° below" in moon.words[0]
    assert all(feature.best_from_utc is None for feature in moon.features)


def test_the_new_moon_is_guarded() -> None:
    # New Moon 2026-11-09 07:02 UT (skyfield).
    moon = tonight(date(2026, 11, 9), hour=13.0)
    assert "never point a telescope near the Sun" in moon.words[0]


def test_sizes_are_those_of_the_disc_tonight() -> None:
    moon = tonight(date(2026, 11, 21))
    feature = named(moon, "Schickard")
    assert feature.diameter_km is not None
    assert feature.diameter_arcsec == pytest.approx(
        feature.diameter_km / 3474.8 * moon.state.diameter_arcsec
    )
    assert feature.diameter_px == pytest.approx((feature.diameter_arcsec or 0.0) / 0.4776)
