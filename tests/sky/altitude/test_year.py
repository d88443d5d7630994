"""An object through a year agrees with asking night by night, and with astroplan's months."""

from dataclasses import replace
from datetime import date

import astropy.units as u
import numpy as np
import pytest
from astroplan import AltitudeConstraint, AtNightConstraint, months_observable
from astropy.time import Time

from logbook.errors import BadInput
from logbook.sky.altitude.visibility import spans_mjd, windows
from logbook.sky.altitude.year import year_ahead
from logbook.sky.catalogue.objects import SkyObject, deep_sky
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.darkness import darkness
from logbook.sky.night.intervals import common, outside
from logbook.sky.night.site import Horizon, Site
from logbook.sky.observer import fixed_targets, observer
from tests.sky.tables import CAPE, DATE_LINE, EQUATOR, TROMS, WALES

FIRST = date(2026, 11, 25)
TREES: Horizon = ((0, 20), (40, 45), (80, 25), (120, 10), (180, 35), (230, 5), (300, 40))
# By a clock that is half a day off the Sun the darkness of a night comes in two parts.
FAR = Site("Far", -37.0, 175.0, 0.0, "UTC")
SOUTH = Site("South", 25.0, 10.0, 500.0, "UTC")
POLE = Site("Pole", 89.0, 10.0, 0.0, "UTC")
PLACES = (WALES, TROMS, EQUATOR, CAPE, DATE_LINE, FAR, POLE, replace(WALES, horizon=TREES))


def thing(name: str) -> SkyObject:
    return deep_sky().at(deep_sky().index_of(name))


def asked_of_the_night(site: Site, one: SkyObject, day: date) -> tuple[float, float, float | None]:
    """Hours, moonless hours and the darkness used, by the windows of that one night."""
    found, frame = night_and_frame(site, day)
    dark = darkness(found, Limits().min_hours)
    moonless = common(dark.intervals, outside(found.moon_up, found.noon_utc, found.next_noon_utc))
    there = frame.places(np.array([one.ra_deg]), np.array([one.dec_deg]))
    hours = [
        float(windows(frame, there, spans_mjd(each), 30.0).hours[0])
        for each in (dark.intervals, moonless)
    ]
    return hours[0], hours[1], dark.sun_below_deg


@pytest.mark.parametrize("site", PLACES, ids=lambda site: site.name)
def test_every_night_of_the_year_has_the_hours_of_that_night(site: Site) -> None:
    for name in ("NGC 224", "NGC 5139", "NGC 1952", "NGC 188"):
        year = year_ahead(site, thing(name), FIRST)
        assert len(year.dates) == len(year.hours) == len(year.moonless_hours) == 365
        for at in range(0, 365, 61):
            hours, moonless, below = asked_of_the_night(site, thing(name), year.dates[at])
            assert year.sun_below_deg[at] == below
            # A dusk or moonrise that grazes its level is the least certain, most so at the pole.
            apart = (300.0 if site is POLE else 60.0) / 3600.0
            assert year.hours[at] == pytest.approx(hours, abs=apart)
            assert year.moonless_hours[at] == pytest.approx(moonless, abs=apart)


def test_the_months_are_those_of_astroplan() -> None:
    # Reference: astroplan's months_observable, a fresh Observer, every hour of a year.
    things = [thing(name) for name in ("NGC 224", "NGC 6514", "NGC 188", "NGC 253")]
    limits = [
        AltitudeConstraint(min=20.0 * u.deg),
        AtNightConstraint(max_solar_altitude=-18.0 * u.deg),
    ]
    span = Time(["2025-12-01T12:00", "2026-11-30T12:00"])
    answers = months_observable(
        limits, observer(SOUTH), fixed_targets(things), span, time_grid_resolution=1.0 * u.hour
    )
    for one, theirs in zip(things, answers, strict=True):
        year = year_ahead(SOUTH, one, span.to_datetime()[0].date(), Limits(20.0, min_hours=0.0))
        astronomical = np.array(year.sun_below_deg) == -18.0
        months = np.array([day.month for day in year.dates])
        most = {
            month: np.max(np.array(year.hours), where=astronomical & (months == month), initial=0.0)
            for month in range(1, 13)
        }
        # A month whose longest window is shorter than their hour may slip through their grid.
        surely = {month for month, hours in most.items() if hours > 1.1}
        perhaps = {month for month, hours in most.items() if hours > 0.0}
        assert surely <= set(theirs) <= perhaps
        assert 3 <= len(surely) <= 11 or one.id == "NGC 188"


def test_what_never_rises_and_what_never_sets_is_said() -> None:
    never = year_ahead(WALES, thing("NGC 5139"), FIRST)
    assert never.words[0] == "It never stands above 30° here."
    assert never.best is None
    assert set(never.hours) == {0.0}
    always = year_ahead(WALES, thing("NGC 188"), FIRST)
    assert always.words[0] == "It never sinks below 30° here."
    assert always.best is not None
    assert max(always.moonless_hours) == always.moonless_hours[always.dates.index(always.best)]


def test_polar_summer_is_counted_and_not_hidden() -> None:
    year = year_ahead(TROMS, thing("NGC 188"), FIRST)
    bright = sum(each is None for each in year.sun_below_deg)
    # The Sun stays above -12° there from about 17 April to 26 August: 90 - 69 - δ < 12 (Meeus).
    assert bright == pytest.approx(131, abs=12)
    assert f"{bright} nights do not get dark." in year.words
    assert all(
        hours == 0.0
        for hours, below in zip(year.hours, year.sun_below_deg, strict=True)
        if below is None
    )


def test_a_year_that_cannot_be_is_refused() -> None:
    with pytest.raises(BadInput, match="a year of 0 nights cannot be"):
        year_ahead(WALES, thing("NGC 224"), FIRST, nights=0)
    with pytest.raises(BadInput, match="out of reach"):
        year_ahead(WALES, thing("NGC 224"), date(2200, 1, 1))
