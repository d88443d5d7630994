"""The nights to come at a glance."""

from datetime import UTC, date, timedelta

import pytest
from skyfield import almanac as skyfield_almanac
from skyfield.api import wgs84

from logbook.errors import BadInput
from logbook.sky.night.calendar import calendar
from logbook.sky.night.site import Site
from tests.sky.tables import CAPE, TROMS, WALES, jpl

FIRST = date(2026, 11, 25)


def test_sixty_nights_follow_each_other_with_the_moon_going_round_twice() -> None:
    nights = calendar(WALES, FIRST)
    assert [each.local_date for each in nights] == [FIRST + timedelta(days=d) for d in range(60)]
    assert {each.sun_below_deg for each in nights} == {-18.0}
    assert sum(each.moon_phase == "new Moon" for each in nights) == 2
    best = max(nights, key=lambda each: each.moonless_hours)
    assert best.moon_illumination < 0.1
    assert best.moonless_hours == pytest.approx(best.dark_hours)
    assert all(0.0 <= each.moonless_hours <= each.dark_hours + 1e-9 for each in nights)
    assert all(not each.words for each in nights)


@pytest.mark.parametrize("site", [WALES, CAPE], ids=lambda site: site.name)
def test_dark_and_moonless_hours_are_those_of_a_jpl_ephemeris(site: Site) -> None:
    # Reference: skyfield with DE421, the Sun's true altitude and moonrise as the almanac has it.
    scale, bodies = jpl()
    here = wgs84.latlon(site.latitude_deg, site.longitude_deg, site.elevation_m)
    twilight = skyfield_almanac.dark_twilight_day(bodies, here)
    moon_up = skyfield_almanac.risings_and_settings(
        bodies, bodies["moon"], here, radius_degrees=0.26
    )
    for found in calendar(site, FIRST, 16)[::5]:
        assert found.dark_from is not None
        assert found.dark_to is not None
        start, end = (scale.from_datetime(each) for each in (found.dark_from, found.dark_to))
        middle = scale.tt_jd((start.tt + end.tt) / 2.0)
        around = scale.tt_jd(middle.tt - 0.4), scale.tt_jd(middle.tt + 0.4)
        times, states = skyfield_almanac.find_discrete(*around, twilight)
        into = next(t for t, state in zip(times, states, strict=True) if state == 0)
        out = next(t for t in times if t.tt > into.tt)
        assert abs(into.utc_datetime() - found.dark_from) < timedelta(seconds=10)
        assert abs(out.utc_datetime() - found.dark_to) < timedelta(seconds=10)
        edges, ups = skyfield_almanac.find_discrete(into, out, moon_up)
        inside = [into.tt, *(each.tt for each in edges), out.tt]
        up_first = bool(moon_up(into))
        states = [up_first, *(bool(each) for each in ups)]
        down = sum(b - a for a, b, up in zip(inside, inside[1:], states, strict=False) if not up)
        assert found.moonless_hours == pytest.approx(down * 24.0, abs=30.0 / 3600.0)


def test_polar_summer_and_winter_are_said_in_words() -> None:
    summer = calendar(TROMS, date(2026, 6, 1), 20)
    assert {each.sun_below_deg for each in summer} == {None}
    assert all(each.dark_hours == each.moonless_hours == 0.0 for each in summer)
    assert all(each.dark_from is None for each in summer)
    assert all(each.words.startswith("The Sun does not set: ") for each in summer)
    winter = calendar(TROMS, date(2026, 12, 10), 5)
    assert all("The Sun does not rise." in each.words for each in winter)
    assert all(each.dark_hours > 12.0 for each in winter)


def test_a_night_of_twilight_counts_the_deeper_half_and_says_so() -> None:
    (night,) = calendar(WALES, date(2026, 6, 21), 1)
    assert night.sun_below_deg == -12.0
    assert night.words.startswith("No astronomical darkness: the Sun only reaches −14.5°")
    assert night.dark_from is not None
    assert night.dark_from.tzinfo is UTC


def test_a_calendar_that_cannot_be_is_refused() -> None:
    with pytest.raises(BadInput, match="0 nights cannot be"):
        calendar(WALES, FIRST, 0)
    with pytest.raises(BadInput, match="out of reach"):
        calendar(WALES, date(1500, 1, 1))


def test_it_ends_where_the_reach_ends() -> None:
    assert len(calendar(WALES, date(2098, 12, 25), 60)) == 7
