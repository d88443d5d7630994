"""A night has the date of its evening and runs from noon to noon of the site."""

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.sky.night.clock import (
    event_hhmm,
    iso_z,
    local_hhmm,
    night_date,
    night_span,
    zone_of,
    zone_or_utc,
)

LONDON = zone_of("Europe/London")


def test_a_night_is_noon_to_noon_by_the_clock_of_the_site() -> None:
    noon, next_noon = night_span(zone_of("America/Denver"), date(2026, 1, 15))
    assert noon == datetime(2026, 1, 15, 19, tzinfo=UTC)
    assert next_noon == datetime(2026, 1, 16, 19, tzinfo=UTC)


def test_the_night_the_clocks_change_is_an_hour_shorter_or_longer() -> None:
    # EU directive 2000/84/EC: last Sundays of March and October, at 01:00 UTC.
    noon, next_noon = night_span(LONDON, date(2026, 3, 28))
    assert next_noon - noon == timedelta(hours=23)
    noon, next_noon = night_span(LONDON, date(2026, 10, 24))
    assert next_noon - noon == timedelta(hours=25)


def test_before_noon_it_is_still_last_night() -> None:
    assert night_date(datetime(2026, 7, 1, 10, 59, tzinfo=UTC), LONDON) == date(2026, 6, 30)
    assert night_date(datetime(2026, 7, 1, 11, 0, tzinfo=UTC), LONDON) == date(2026, 7, 1)


@given(
    st.timedeltas(timedelta(0), timedelta(days=20000)),
    st.sampled_from(["Europe/London", "Pacific/Fiji", "America/Denver", "Pacific/Kiritimati"]),
)
def test_every_instant_lies_within_its_own_night(since: timedelta, name: str) -> None:
    zone, instant = zone_of(name), datetime(1996, 1, 1, tzinfo=UTC) + since
    noon, next_noon = night_span(zone, night_date(instant, zone))
    assert noon <= instant < next_noon


def test_a_day_the_zone_left_out_is_refused() -> None:
    # Samoa went from 29 to 31 December 2011. Source: IANA time zone database, Pacific/Apia.
    with pytest.raises(BadInput, match="left out"):
        night_span(zone_of("Pacific/Apia"), date(2011, 12, 30))


@pytest.mark.parametrize("name", ["", "Mars/Olympus", "../etc/passwd", "/etc/localtime", "a\0b"])
def test_an_unknown_zone_is_refused_in_words(name: str) -> None:
    with pytest.raises(BadInput, match="write one like Europe/Vienna"):
        zone_of(name)


def test_instants_are_written_in_utc_with_z() -> None:
    denver = datetime(2026, 1, 15, 20, 59, 59, 600_000, tzinfo=timezone(timedelta(hours=-7)))
    assert iso_z(denver) == "2026-01-16T04:00:00Z"


@pytest.mark.parametrize("second", [0, 31, 59])
def test_a_minute_lasts_until_the_next_one_as_on_every_clock(second: int) -> None:
    assert local_hhmm(datetime(2026, 7, 1, 20, 59, second, 999_999, tzinfo=UTC), LONDON) == "21:59"


def test_what_the_sky_does_is_said_to_the_nearest_minute() -> None:
    """As almanacs print it (common practice, no source)."""
    assert event_hhmm(datetime(2026, 7, 1, 20, 59, 29, tzinfo=UTC), LONDON) == "21:59"
    assert event_hhmm(datetime(2026, 7, 1, 20, 59, 31, tzinfo=UTC), LONDON) == "22:00"


def test_a_zone_that_this_machine_does_not_know_is_read_as_utc() -> None:
    assert zone_or_utc("Mars/Olympus") is UTC
    assert zone_or_utc("Europe/London") == LONDON
