"""When a frame was begun, in every form headers have for it."""

from datetime import UTC, datetime

import pytest
from astropy.time import Time

from logbook.errors import BadInput
from logbook.frames.dates import clock_note, exposure_start
from logbook.frames.fits_header import Card

# FITS Standard 4.0, section 4.4.2.1 and 9.1: ISO 8601 without and with parts of a second; the old
# DD/MM/YY means 1900 to 1999. UT beside a date: as observatories' headers have it.
FORMS = (
    ({"DATE-OBS": "2013-07-13T20:15:30"}, "2013-07-13T20:15:30"),
    ({"DATE-OBS": "2013-07-13T20:15:30.250"}, "2013-07-13T20:15:30.250"),
    ({"DATE-OBS": " 2013-07-13T20:15 "}, "2013-07-13T20:15:00"),
    ({"DATE-OBS": "2013-07-13 20:15:30"}, "2013-07-13T20:15:30"),
    ({"DATE-OBS": "2013-07-13T20:15:30Z"}, "2013-07-13T20:15:30"),
    ({"DATE-OBS": "2013-07-13T22:15:30+02:00"}, "2013-07-13T20:15:30"),
    ({"DATE-OBS": "2013/07/13", "UT": "20:15:30.5"}, "2013-07-13T20:15:30.5"),
    ({"DATE-OBS": "2013-07-13", "TIME-OBS": "20:15:30"}, "2013-07-13T20:15:30"),
    ({"DATE-OBS": "13/07/93", "UT": " 20:15:30"}, "1993-07-13T20:15:30"),
    ({"DATE-OBS": "2013-07-13", "DATE-BEG": "2013-07-13T20:15:30"}, "2013-07-13T20:15:30"),
    ({"DATE-OBS": "2013-07-13T20:16:00", "DATE-BEG": "2013-07-13T20:15:30"}, "2013-07-13T20:15:30"),
    ({"DATE-OBS": "2016-12-31T23:59:60"}, "2017-01-01T00:00:00"),  # a leap second
)


def cards(given: dict[str, str | float]) -> dict[str, Card]:
    return {name: Card(value) for name, value in given.items()}


@pytest.mark.parametrize(("given", "expected"), FORMS)
def test_every_form_of_date_and_time(given: dict[str, str | float], expected: str) -> None:
    began = exposure_start(cards(given), 60.0)
    assert began == datetime.fromisoformat(expected).replace(tzinfo=UTC)


@pytest.mark.parametrize(("keyword", "form"), [("MJD-OBS", "mjd"), ("JD-OBS", "jd")])
def test_a_day_number_is_what_astropy_says(keyword: str, form: str) -> None:
    instant = Time("2013-07-13T20:15:30", scale="utc")
    began = exposure_start(cards({keyword: float(getattr(instant, form))}), 60.0)
    assert abs((began - datetime(2013, 7, 13, 20, 15, 30, tzinfo=UTC)).total_seconds()) < 1e-3


@pytest.mark.parametrize(
    ("comment", "seconds"),
    [("start of exposure", 0), ("", 0), ("mid-exposure, UTC", 60), ("end of exposure", 120)],
)
def test_the_comment_may_say_that_it_is_the_middle_or_the_end(comment: str, seconds: int) -> None:
    header = {"DATE-OBS": Card("2013-07-13T20:10:00", comment)}
    began = exposure_start(header, 120.0)
    assert (datetime(2013, 7, 13, 20, 10, tzinfo=UTC) - began).total_seconds() == seconds


NOTHING: tuple[dict[str, str | float], ...] = (
    {},
    {"DATE-OBS": "2013-07-13"},
    {"DATE-OBS": "13/07/2013 20:15"},
    {"DATE-OBS": "2013-02-30T20:15:30"},
    {"DATE-OBS": "2013-07-13T25:15:30"},
    {"DATE-OBS": "0001-01-01T00:00:00"},
    {"DATE-OBS": "1901-01-01T00:00:00"},  # no ephemeris reaches its night
    {"DATE-OBS": "tonight", "UT": "late"},
    {"MJD-OBS": 1e300},
    {"MJD-OBS": -5.0},
)


@pytest.mark.parametrize("given", NOTHING)
def test_a_time_that_is_not_said_is_not_guessed(given: dict[str, str | float]) -> None:
    with pytest.raises(BadInput, match="does not say"):
        exposure_start(cards(given), 60.0)


def test_another_clock_than_utc_is_told() -> None:
    assert clock_note(cards({"TIMESYS": "UTC"})) == ""
    assert "TAI" in clock_note(cards({"TIMESYS": "TAI"}))
