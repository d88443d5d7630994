"""A star for the star test: bright enough, high, alone, and slow where nothing drives."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from logbook.sky.bright_night.star_test_star import (
    StarTestStars,
    star_test_stars,
    wanted_magnitudes,
)
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.framing.instrument import Instrument
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.site import Site
from tests.sky import tables

FIELD = FieldOfView("long focus", 1624.0, 0.4776, (0.829, 0.553))
DRIVEN = Instrument(203.0, FIELD)
UNDRIVEN = Instrument(203.0, FIELD, driven=False)
EVENING = datetime(2026, 11, 21, 21, tzinfo=UTC)


def stars(
    instrument: Instrument = DRIVEN,
    site: Site = tables.WALES,
    at: datetime = EVENING,
    most: int = 10,
) -> StarTestStars:
    _, frame = night_and_frame(site, date(at.year, at.month, at.day))
    return star_test_stars(frame, instrument, at, most=most)


def test_the_range_follows_the_light_gathered() -> None:
    # Common practice, no source: magnitude 1 to 3 for 200 mm; twice the aperture gathers four
    # times the light, 1.5 magnitudes.
    assert wanted_magnitudes(200.0) == pytest.approx((1.0, 3.0))
    assert wanted_magnitudes(400.0) == pytest.approx((2.505, 4.505), abs=0.001)
    assert wanted_magnitudes(None) == wanted_magnitudes(200.0)


def test_stars_are_high_now_and_in_an_hour() -> None:
    found = stars(most=100)
    assert len(found.stars) > 5
    for star in found.stars:
        altitudes = [altitude for _, altitude in star.altitudes_deg]
        assert min(altitudes) >= 50.0
        assert star.altitude_deg == altitudes[0]
        assert star.altitude_in_an_hour_deg == altitudes[-1]
        assert star.altitudes_deg[-1][0] - star.altitudes_deg[0][0] == timedelta(hours=1)
        assert found.wanted_magnitude[0] - 1.0 <= star.magnitude <= found.wanted_magnitude[1] + 1.0
    scores = [star.score for star in found.stars]
    assert scores == sorted(scores, reverse=True)


def test_altitudes_agree_with_an_almanac() -> None:
    # Source: skyfield with DE421, the star's place without its motion (under 20" since 2000).
    from skyfield.api import Star, wgs84

    scale, bodies = tables.jpl()
    site = tables.WALES
    place = bodies["earth"] + wgs84.latlon(site.latitude_deg, site.longitude_deg, site.elevation_m)
    for star in stars().stars[:4]:
        body = Star(ra_hours=star.ra_deg / 15.0, dec_degrees=star.dec_deg)
        for instant, altitude in star.altitudes_deg[::3]:
            seen = place.at(scale.from_datetime(instant)).observe(body).apparent().altaz()[0]
            assert altitude == pytest.approx(seen.degrees, abs=0.002)


def test_close_pairs_come_last_and_are_told() -> None:
    found = {star.object_id: star for star in stars(most=100).stars}
    almach = found["HIP 9640"]  # 9.7" and 2.7 mag fainter
    mirach = found["HIP 5447"]
    assert "double" in almach.double_words
    assert mirach.double_words == ""
    assert almach.score < 0.5 * mirach.score
    assert any("no companion" in words for words in mirach.reasons)


def test_where_nothing_drives_the_pole_star_wins() -> None:
    found = stars(UNDRIVEN)
    first = found.stars[0]
    assert first.name.startswith("Polaris")
    # Source: 15.041 cos(dec) arcsec a second; its declination of date is 89.37 in 2026.
    assert first.drift_arcsec_s == pytest.approx(0.165, abs=0.01)
    assert first.crossing_s == pytest.approx(0.553 * 1800.0 / first.drift_arcsec_s)
    assert any("drifts 0.2″ a second" in words for words in first.reasons)
    assert found.stars[0].score > 2.0 * next(s for s in found.stars if s.drift_arcsec_s > 7).score


def test_the_southern_sky_has_no_pole_star_and_says_so() -> None:
    found = stars(UNDRIVEN, tables.CAPE)
    assert any("No star bright enough stands near the south pole" in each for each in found.words)
    first = found.stars[0]
    assert first.dec_deg < -75.0  # beta Hydri, the slowest of the bright ones
    assert first.magnitude < 3.1


def test_daylight_is_said_and_nothing_near_the_sun_is_given() -> None:
    at = datetime(2026, 11, 21, 13, tzinfo=UTC)
    _, frame = night_and_frame(tables.EQUATOR, date(2026, 11, 21))
    found = star_test_stars(frame, DRIVEN, at, min_altitude_deg=0.0, most=1000)
    assert any("The Sun is up" in words for words in found.words)
    sun = frame.sun_moon(np.array([earth.to_mjd(at)]))[0][0]
    sun = sun / np.linalg.norm(sun)
    places = frame.places(
        np.array([star.ra_deg for star in found.stars]),
        np.array([star.dec_deg for star in found.stars]),
    )
    assert len(places) > 20
    assert np.all(places @ sun < np.cos(np.radians(20.0)))


def test_a_wall_hides_stars() -> None:
    walled = Site("walled", 52.1, -3.7, 200.0, "Europe/London", ((0.0, 89.0), (180.0, 89.0)))
    found = stars(site=walled)
    assert found.stars == ()
    assert any("No such star stands above 50°" in words for words in found.words)


def test_a_crossing_of_the_meridian_is_told() -> None:
    # From the right ascension and the sidereal time of the frame.
    found = stars(most=100)
    _, frame = night_and_frame(tables.WALES, date(2026, 11, 21))
    meridian = np.degrees(float(frame.meridian_rad(earth.to_mjd(EVENING))))
    for star in found.stars:
        # Precession since 2000 moves right ascensions of these by up to 1 degree, 4 minutes.
        minutes = (star.ra_deg - meridian + 10.0) % 360.0 * 4.0 - 40.0
        if 10.0 < minutes < 50.0:
            assert any("crosses the meridian" in words for words in star.reasons), star.name
        if minutes > 75.0:
            assert not any("crosses the meridian" in words for words in star.reasons), star.name
