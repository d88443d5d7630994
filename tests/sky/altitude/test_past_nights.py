"""Dark hours of many nights at once, and an object through a run, held to the exact ways."""

from datetime import UTC, date, datetime, timedelta

import astropy.units as u
import pytest
from astropy.coordinates import AltAz, EarthLocation, SkyCoord, get_body
from astropy.time import Time

from logbook.sky.altitude.airmass import airmass
from logbook.sky.altitude.past_nights import dark_hours, object_through
from logbook.sky.night.almanac import night
from logbook.sky.night.site import Site
from logbook.sky.observer import stay_offline

PLACES = (
    Site("middle north", 52.0, -3.7, 300.0, "Europe/London"),
    Site("south", -30.0, 149.0, 1100.0, "Australia/Sydney"),
    Site("equator", 0.0, 0.0, 0.0, "UTC"),
    Site("far north", 65.0, 20.0, 10.0, "Europe/Stockholm"),
)


@pytest.mark.parametrize("site", PLACES, ids=lambda each: each.name)
def test_dark_hours_agree_with_the_almanac_to_a_minute(site: Site) -> None:
    """The almanac finds each twilight by root-finding; summer nights without darkness included."""
    days = [date(2026, month, 9) for month in range(1, 13)]
    wanted = [night(site, each).dark_hours for each in days]
    assert dark_hours(site, days) == pytest.approx(wanted, abs=1.0 / 60.0)


def test_no_darkness_in_the_polar_summer_and_much_in_the_polar_winter() -> None:
    pole = Site("Pole", 89.0, 0.0, 0.0, "UTC")
    summer, winter = dark_hours(pole, [date(2026, 6, 21), date(2026, 12, 21)])
    assert (summer, winter) == (0.0, 24.0)


def test_an_object_and_the_moon_through_a_run_agree_with_astropy() -> None:
    """Altitudes without refraction, and the Moon as seen from the site. Source: astropy, AltAz."""
    stay_offline()
    site = PLACES[0]
    start = datetime(2025, 11, 4, 20, 0, tzinfo=UTC)
    instants = [start + timedelta(minutes=30 * step) for step in range(7)]
    found = object_through(site, date(2025, 11, 4), 10.6847, 41.2688, instants)
    where = EarthLocation.from_geodetic(-3.7 * u.deg, 52.0 * u.deg, 300.0 * u.m)
    times = Time(instants)
    frame = AltAz(obstime=times, location=where)
    there = SkyCoord(10.6847 * u.deg, 41.2688 * u.deg).transform_to(frame)
    moon = get_body("moon", times, where).transform_to(frame)
    altitudes = there.alt.deg
    assert found.lowest_deg == pytest.approx(altitudes.min(), abs=0.01)
    assert found.highest_deg == pytest.approx(altitudes.max(), abs=0.01)
    assert found.altitude_deg == pytest.approx(altitudes.mean(), abs=0.01)
    assert found.airmass == pytest.approx(airmass(altitudes).mean(), abs=0.001)
    up = moon.alt.deg > 0.0
    assert found.moon_up == pytest.approx(up.mean())
    assert found.moon_separation_deg == pytest.approx(
        there.separation(moon).deg[up].min(), abs=0.02
    )


def test_without_the_moon_there_is_no_separation() -> None:
    site = PLACES[0]
    start = datetime(2025, 11, 20, 20, 0, tzinfo=UTC)  # a new Moon
    found = object_through(site, date(2025, 11, 20), 10.7, 41.3, [start])
    assert found.moon_up == 0.0
    assert found.moon_separation_deg is None
