"""A year of rises and sets as the US Naval Observatory printed them: none missed, none added."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

import numpy as np
import pytest

from logbook.sky.night.almanac import night
from logbook.sky.night.night import Night
from logbook.sky.night.site import Site
from tests.sky.tables import events, rows

MINUTE = timedelta(minutes=1)
BLUFFTON = Site("Bluffton", 40.8939, -83.8917, 0.0, "America/New_York")
DEFIANCE = Site("Defiance", 41.281944, -84.362778, 0.0, "America/New_York")


def nights(site: Site, first: date, count: int) -> Iterator[Night]:
    return (night(site, first + timedelta(days=day)) for day in range(count))


def largest_gap(found: list[datetime], printed: list[datetime]) -> timedelta:
    """The largest difference, after making sure that both are the same events."""
    begin, end = printed[0] - timedelta(minutes=5), printed[-1] + timedelta(minutes=5)
    found = [each for each in found if begin <= each <= end]
    assert len(found) == len(printed)
    return max(abs(a - b) for a, b in zip(found, printed, strict=True))


def test_the_sun_over_atlanta_all_2007() -> None:
    site = Site("Atlanta", 33 + 46 / 60, -(84 + 25 / 60), 0.0, "America/New_York")
    year = list(nights(site, date(2006, 12, 31), 366))
    sets = [each.sunset for each in year if each.sunset]
    rises = [each.sunrise for each in year if each.sunrise]
    assert len(rows("sun_atlanta_2007.csv")) == 730
    # Printed to the minute: 30 s are its rounding.
    assert largest_gap(rises, events("sun_atlanta_2007.csv", "rise")) <= 0.6 * MINUTE
    assert largest_gap(sets, events("sun_atlanta_2007.csv", "set")) <= 0.6 * MINUTE


def test_the_moon_over_boston_all_1984() -> None:
    site = Site("Boston", 42 + 19 / 60, -(71 + 5 / 60), 0.0, "America/New_York")
    year = list(nights(site, date(1983, 12, 31), 367))
    rises = [rise for each in year for rise in each.moon_rises]
    sets = [moonset for each in year for moonset in each.moon_sets]
    assert len(rows("moon_boston_1984.csv")) == 707
    assert largest_gap(rises, events("moon_boston_1984.csv", "rise")) <= 0.6 * MINUTE
    assert largest_gap(sets, events("moon_boston_1984.csv", "set")) <= 0.6 * MINUTE
    without_rise = sum(not each.moon_rises for each in year)
    without_set = sum(not each.moon_sets for each in year)
    assert without_rise >= 12
    assert without_set >= 12


def test_the_moon_over_fairbanks_that_does_not_set_for_days() -> None:
    site = Site("Fairbanks", 64.81, -147.75, 0.0, "Etc/GMT+8")
    june = list(nights(site, date(2006, 6, 14), 23))
    rises = [rise for each in june for rise in each.moon_rises]
    sets = [moonset for each in june for moonset in each.moon_sets]
    # Near north it grazes the horizon, where a minute is little.
    assert largest_gap(rises, events("moon_fairbanks_2006.csv", "rise")) <= MINUTE
    assert largest_gap(sets, events("moon_fairbanks_2006.csv", "set")) <= MINUTE
    always_up = [each.local_date for each in june if not each.moon_rises and not each.moon_sets]
    assert always_up == [date(2006, 6, 23), date(2006, 6, 24), date(2006, 6, 25)]
    assert all("The Moon does not set." in night(site, day).words for day in always_up)


def test_the_twilights_of_one_evening_and_morning() -> None:
    # Source: USNO, Defiance 2019-11-08 (UT): astronomical, nautical, civil, rise in the morning;
    # set, civil, nautical, astronomical in the evening.
    before, after = night(DEFIANCE, date(2019, 11, 7)), night(DEFIANCE, date(2019, 11, 8))
    found = (
        before.astronomical_dawn, before.nautical_dawn, before.civil_dawn, before.sunrise,
        after.sunset, after.civil_dusk, after.nautical_dusk, after.astronomical_dusk,
    )  # fmt: skip
    printed = ("10:42", "11:15", "11:48", "12:17", "22:25", "22:54", "23:27", "23:59")
    for instant, clock in zip(found, printed, strict=True):
        assert instant is not None
        hour, minute = clock.split(":")
        there = instant.replace(hour=int(hour), minute=int(minute), second=0, microsecond=0)
        assert abs(instant - there) <= MINUTE


def test_sunrise_and_sunset_at_bluffton() -> None:
    # Source: USNO, 2018-09-12: 11:13 and 23:50 UT. Skyfield: 11:13:12 and 23:49:38.
    sunrise = night(BLUFFTON, date(2018, 9, 11)).sunrise
    sunset = night(BLUFFTON, date(2018, 9, 12)).sunset
    assert sunrise is not None
    assert sunset is not None
    assert abs((sunrise - sunrise.replace(minute=13, second=12, microsecond=0)).total_seconds()) < 2
    assert abs((sunset - sunset.replace(minute=49, second=38, microsecond=0)).total_seconds()) < 2


@pytest.mark.parametrize(("day", "fraction"), list(enumerate(
    (0.00, 0.00, 0.03, 0.08, 0.15, 0.24, 0.33, 0.43, 0.52, 0.62), start=9
)))  # fmt: skip
def test_the_lit_part_is_that_of_the_naval_observatory(day: int, fraction: float) -> None:
    # Source: USNO, fraction of the Moon illuminated, 2018 September 9 to 18, 05h UT.
    # The night of a site at 75° W is in its middle at 05h UT.
    site = Site("There", 40.0, -75.0, 0.0, "Etc/GMT+5")
    found = night(site, date(2018, 9, day - 1)).moon_illumination
    assert found == pytest.approx(fraction, abs=0.0051)
    assert np.isfinite(found)
