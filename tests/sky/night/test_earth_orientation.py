"""Time scales and the turning Earth, against published values and astropy."""

import subprocess
import sys
from datetime import UTC, datetime, timedelta

import erfa
import numpy as np
import pytest
from astropy.time import Time
from astropy.utils import iers

from logbook.sky.night import earth
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import sky_frame
from logbook.sky.observer import stay_offline

GREENWICH = Site("Greenwich", 51.4778, 0.0, 0.0, "Europe/London")


def _mjd(year: int, month: int, day: int) -> float:
    return earth.to_mjd(datetime(year, month, day, tzinfo=UTC))


def test_the_day_number_is_that_of_the_calendar() -> None:
    # Source: Meeus 1998, ch. 7: 1957 October 4.81 is JD 2436116.31.
    assert _mjd(1957, 10, 4) + 0.81 + earth.MJD_JD == pytest.approx(2436116.31, abs=1e-8)
    instant = datetime(2026, 11, 25, 20, 13, 7, 250_000, tzinfo=UTC)
    assert abs(earth.to_instant(earth.to_mjd(instant)) - instant) < timedelta(microseconds=2)


@pytest.mark.parametrize(
    ("when", "seconds"),
    [((1972, 1, 2), 10), ((1999, 1, 1), 32), ((2016, 12, 31), 36), ((2017, 1, 1), 37)],
)
def test_leap_seconds_are_those_announced(when: tuple[int, int, int], seconds: int) -> None:
    # Source: IERS Bulletin C (10 s at the start of 1972, one more each time, 37 s since 2017).
    assert earth.tai_utc_s(_mjd(*when)) == seconds


def test_ut1_and_the_pole_are_those_of_the_iers_table_as_astropy_reads_it() -> None:
    stay_offline()
    days = np.arange(_mjd(1994, 1, 1), _mjd(2027, 6, 1), 211.37)
    times = Time(days, format="mjd", scale="utc")
    table = iers.earth_orientation_table.get()
    ut1 = table.ut1_utc(times).to_value("s")
    pole = np.stack([part.to_value("arcsec") for part in table.pm_xy(times)], axis=1)
    found = [earth.orientation(float(day)) for day in days]
    # Later series move the published values by this much.
    assert np.array([each.ut1_utc_s for each in found]) == pytest.approx(ut1, abs=1e-4)
    ours = [(each.pole_x_rad, each.pole_y_rad) for each in found]
    assert np.array(ours) / earth.ARCSEC_RAD == pytest.approx(pole, abs=2e-3)


def test_ut1_does_not_jump_over_a_leap_second() -> None:
    before, after = (earth.orientation(_mjd(2016, 12, 31) + part) for part in (0.99999, 1.00001))
    assert after.ut1_utc_s - before.ut1_utc_s == pytest.approx(1.0, abs=1e-4)


@pytest.mark.parametrize("year", [1950, 2060])
def test_outside_the_table_it_says_so_in_words_and_goes_on(year: int) -> None:
    found = earth.orientation(_mjd(year, 1, 1))
    assert "No Earth rotation table covers this date" in found.words
    assert found.ut1_utc_s == 0.0


def test_sidereal_time_is_that_of_the_handbook() -> None:
    # Source: Meeus 1998, example 12.a: apparent sidereal time at Greenwich, 1987 April 10, 0h UT1,
    # 13h 10m 46.1351s with the models of its day. Today's moved the equinox by 0.003 s.
    noon = datetime(1987, 4, 9, 12, tzinfo=UTC)
    frame = sky_frame(GREENWICH, noon, noon + timedelta(days=1))
    midnight_ut1 = _mjd(1987, 4, 10) - frame.orientation.ut1_utc_s / 86400.0
    terrestrial = float(frame.orientation.tt_jd(midnight_ut1))
    equinox = erfa.eo06a(earth.MJD_JD, terrestrial)
    hours = (frame.orientation.rotation_rad(midnight_ut1) - equinox) % (2 * np.pi) * 12 / np.pi
    assert hours == pytest.approx(13 + 10 / 60 + 46.1351 / 3600, abs=0.005 / 3600)


def test_the_zenith_turns_as_in_astropy() -> None:
    noon = datetime(2026, 3, 1, 12, tzinfo=UTC)
    frame = sky_frame(GREENWICH, noon, noon + timedelta(days=1))
    mjd = np.linspace(frame.start_mjd, frame.end_mjd, 25)
    expected = erfa.era00(earth.MJD_JD, mjd + frame.orientation.ut1_utc_s / 86400.0)
    turned = np.angle(np.exp(1j * (frame.orientation.rotation_rad(mjd) - expected)))
    assert np.max(np.abs(turned)) < 1e-9


def test_a_night_needs_no_network() -> None:
    program = (
        "import socket\n"
        "def refuse(*_args, **_kwargs): raise AssertionError('the network was asked')\n"
        "socket.create_connection = socket.getaddrinfo = refuse\n"
        "socket.socket.connect = socket.socket.connect_ex = refuse\n"
        "from datetime import date\n"
        "from logbook.sky.night.site import Site\n"
        "from logbook.sky.ranking.tonight import tonight\n"
        "from logbook.sky.observer import observer\n"
        "from astropy.time import Time\n"
        "site = Site('Here', 52.1, -3.7, 200.0, 'Europe/London')\n"
        "assert tonight(site, None, date(2026, 11, 8)).suggestions\n"
        "assert tonight(site, None, date(2060, 11, 8)).suggestions\n"
        "assert observer(site).sun_altaz(Time('2026-11-08T00:00')).alt.deg < -40\n"
    )
    subprocess.run([sys.executable, "-W", "error", "-c", program], check=True)
