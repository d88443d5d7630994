"""Nights at every latitude, across clock changes and the date line, against JPL's ephemeris."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from skyfield import almanac as skyfield_almanac
from skyfield.api import wgs84

from logbook.errors import BadInput
from logbook.sky.night.almanac import SUN_LEVELS_DEG, night, night_and_frame
from logbook.sky.night.night import Night
from logbook.sky.night.site import Site
from tests.sky.tables import CAPE, DATE_LINE, EQUATOR, SITES, TROMS, WALES, jpl

DATES = (
    date(2026, 1, 3), date(2026, 3, 20), date(2026, 4, 9), date(2026, 6, 21), date(2026, 8, 12),
    date(2026, 10, 24), date(2026, 11, 25), date(2026, 12, 21),
)  # fmt: skip


def reference(site: Site, found: Night, body: str, level_deg: float | None) -> list[datetime]:
    """All passages within the night from skyfield on DE421; None is its rising and setting."""
    scale, ephemeris = jpl()
    here = ephemeris["earth"] + wgs84.latlon(
        site.latitude_deg, site.longitude_deg, site.elevation_m
    )
    start, end = scale.from_datetime(found.noon_utc), scale.from_datetime(found.next_noon_utc)
    instants: list[datetime] = []
    for find in (skyfield_almanac.find_risings, skyfield_almanac.find_settings):
        times, happens = find(here, ephemeris[body], start, end, horizon_degrees=level_deg)
        instants += [t.utc_datetime() for t, true in zip(times, happens, strict=True) if true]
    return sorted(instants)


def edges(intervals: tuple[Any, ...], found: Night) -> list[datetime]:
    """Begins and ends of intervals, without those that only noon cut off."""
    both = [edge for each in intervals for edge in (each.start, each.end)]
    return sorted(edge for edge in both if found.noon_utc < edge < found.next_noon_utc)


@pytest.mark.parametrize("site", SITES, ids=lambda site: site.name)
@pytest.mark.parametrize("day", DATES, ids=str)
def test_sun_and_moon_pass_their_levels_when_an_almanac_says_so(site: Site, day: date) -> None:
    found = night(site, day)
    stretches = (found.sun_down, found.below_6, found.below_12, found.below_18)
    for level, intervals in zip(SUN_LEVELS_DEG, stretches, strict=True):
        assert_same(edges(intervals, found), reference(site, found, "sun", level), 2.0)
    assert_same(edges(found.moon_up, found), reference(site, found, "moon", None), 12.0)


def assert_same(ours: list[datetime], theirs: list[datetime], seconds: float) -> None:
    assert len(ours) == len(theirs)
    for mine, other in zip(ours, theirs, strict=True):
        assert abs((mine - other).total_seconds()) < seconds


def test_the_midnight_sun_is_said_in_words() -> None:
    found = night(TROMS, date(2026, 6, 21))
    assert found.sunset is None
    assert found.sunrise is None
    assert found.dark is None
    assert found.sun_down == ()
    assert found.moonless_hours == 0.0
    assert found.words[0].startswith("The Sun does not set: it only sinks to 2.")


def test_the_polar_night_has_no_sunrise_but_darkness() -> None:
    found = night(TROMS, date(2026, 12, 21))
    assert found.sunset is None
    assert found.sunrise is None
    assert "The Sun does not rise." in found.words
    assert found.dark is not None
    assert 11.0 < found.dark_hours < 15.0
    assert found.sun_down[0].hours == pytest.approx(24.0)


def test_a_summer_night_without_astronomical_darkness_says_how_dark_it_gets() -> None:
    # At 52.1° N on 21 June the Sun reaches 90 - 52.1 - 23.44 = 14.5° below north.
    found = night(WALES, date(2026, 6, 21))
    assert found.dark is None
    assert found.astronomical_dusk is None
    assert found.nautical_dusk is not None
    assert "No astronomical darkness: the Sun only reaches −14.5° at 01:17." in found.words


def test_the_darkness_that_only_just_happens_is_not_missed() -> None:
    # Where darkness ends for the summer: it shrinks to minutes, then is gone; never the reverse.
    hours = [night(WALES, date(2026, 5, 10) + timedelta(days=day)).dark_hours for day in range(20)]
    gone = hours.index(0.0)
    assert all(a > b for a, b in pairwise(hours[: gone + 1]))
    assert hours[gone:] == [0.0] * (20 - gone)


@pytest.mark.parametrize("site", [EQUATOR, CAPE, DATE_LINE], ids=lambda site: site.name)
def test_the_evening_comes_before_the_morning(site: Site) -> None:
    for day in DATES:
        found = night(site, day)
        instants = [
            found.noon_utc, found.sunset, found.civil_dusk, found.nautical_dusk,
            found.astronomical_dusk, found.astronomical_dawn, found.nautical_dawn,
            found.civil_dawn, found.sunrise, found.next_noon_utc,
        ]  # fmt: skip
        assert None not in instants
        assert instants == sorted(each for each in instants if each is not None)


@pytest.mark.parametrize(
    ("day", "hours", "way"), [(date(2026, 3, 28), 23, "forward"), (date(2026, 10, 24), 25, "back")]
)
def test_the_night_of_the_clock_change_has_all_its_hours(day: date, hours: int, way: str) -> None:
    found = night(WALES, day)
    assert found.next_noon_utc - found.noon_utc == timedelta(hours=hours)
    assert f"The clocks go {way} this night." in found.words
    before, after = night(WALES, day - timedelta(days=1)), night(WALES, day + timedelta(days=1))
    lengths = [
        (each.sunrise - each.sunset).total_seconds()
        for each in (before, found, after)
        if each.sunrise and each.sunset
    ]
    assert np.diff(lengths, 2) == pytest.approx([0.0], abs=3.0)  # seconds: no hour is lost


def test_nights_follow_each_other_without_gap_or_overlap() -> None:
    for site in SITES:
        for day in (date(2026, 3, 27), date(2026, 10, 23), date(2026, 12, 31)):
            one, two, three = (night(site, day + timedelta(days=i)) for i in range(3))
            assert one.next_noon_utc == two.noon_utc
            assert two.next_noon_utc == three.noon_utc


def test_moonless_darkness_is_what_the_moon_leaves_of_it() -> None:
    for site in SITES:
        for day in DATES:
            found, frame = night_and_frame(site, day)
            minutes = np.arange(frame.start_mjd, frame.end_mjd, 1.0 / 1440.0)
            dark = frame.sun_altitude_deg(minutes) < -18.0
            moonless = dark & (frame.moon_upper_limb_deg(minutes) < -34.0 / 60.0)
            assert found.dark_hours == pytest.approx(np.sum(dark) / 60.0, abs=0.05)
            assert found.moonless_hours == pytest.approx(np.sum(moonless) / 60.0, abs=0.05)


def test_a_clock_far_from_the_sun_is_doubted_in_words() -> None:
    found = night(Site("Far", -37.0, 175.0, 0.0, "UTC"), date(2026, 7, 1))
    assert found.sunset is None
    assert found.sunrise is not None
    assert any("is the time zone right?" in words for words in found.words)


@pytest.mark.parametrize("latitude_deg", [90.0, -90.0, 89.999])
def test_the_poles_have_nights_too(latitude_deg: float) -> None:
    for day in DATES:
        found = night(Site("Pole", latitude_deg, 0.0, 0.0, "UTC"), day)
        assert np.isfinite(found.lowest_sun_deg)


@pytest.mark.parametrize("day", [date(1901, 1, 1), date(2098, 12, 31), date(1969, 7, 20)])
def test_nights_long_ago_and_far_ahead_say_what_is_less_certain(day: date) -> None:
    found = night(WALES, day)
    assert found.sunset is not None
    assert any("Earth rotation" in words for words in found.words)


@pytest.mark.parametrize("day", [date(1900, 12, 31), date(2099, 1, 1), date(1, 1, 1), date.max])
def test_dates_out_of_reach_are_refused(day: date) -> None:
    with pytest.raises(BadInput, match="out of reach"):
        night(WALES, day)


def test_instants_are_aware_and_in_utc() -> None:
    found = night(WALES, date(2026, 11, 25))
    kept: Callable[[Any], bool] = lambda each: isinstance(each, datetime)  # noqa: E731
    instants = [value for value in map(found.__getattribute__, found.__slots__) if kept(value)]
    assert len(instants) > 8
    assert {each.tzinfo for each in instants} == {UTC}
