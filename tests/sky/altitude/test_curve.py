"""The altitude of an object, the Moon and the Sun through the night."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from logbook.sky.altitude.curve import altitude_curve
from logbook.sky.catalogue.objects import deep_sky
from logbook.sky.night.almanac import night
from tests.sky.tables import TROMS, WALES

CRAB = deep_sky().at(deep_sky().index_of("NGC 1952"))


def test_the_curve_runs_from_sunset_to_sunrise() -> None:
    found = night(WALES, date(2026, 11, 25))
    curve = altitude_curve(WALES, CRAB, found)
    assert found.sunset is not None
    assert found.sunrise is not None
    assert abs(curve.instants[0] - found.sunset) < timedelta(milliseconds=1)
    assert abs(curve.instants[-1] - found.sunrise) < timedelta(milliseconds=1)
    assert curve.sun_altitude_deg[0] == pytest.approx(-0.8333, abs=1e-3)
    assert curve.sun_altitude_deg[-1] == pytest.approx(-0.8333, abs=1e-3)
    assert max(curve.altitude_deg) == pytest.approx(90.0 - 52.1 + 22.02, abs=0.1)
    assert set(curve.horizon_deg) == {0.0}
    lengths = {len(getattr(curve, name)) for name in curve.__slots__}
    assert lengths == {len(curve.instants)}


def test_it_agrees_with_the_check_value() -> None:
    # Computed by skyfield (DE421) and astropy for 2026-11-25 20:00 UT: Moon at 27.453°, 6.04°
    # from M 1.
    found = night(WALES, date(2026, 11, 25))
    curve = altitude_curve(WALES, CRAB, found, step_minutes=1.0)
    instant = datetime(2026, 11, 25, 20, tzinfo=UTC)
    nearest = min(range(len(curve.instants)), key=lambda i: abs(curve.instants[i] - instant))
    assert curve.moon_altitude_deg[nearest] == pytest.approx(27.453, abs=0.1)
    assert curve.moon_separation_deg[nearest] == pytest.approx(6.04, abs=0.02)


def test_the_horizon_below_the_object_goes_with_it() -> None:
    walled = replace(WALES, horizon=((0.0, 10.0), (180.0, 30.0)))
    curve = altitude_curve(walled, CRAB, night(walled, date(2026, 11, 25)))
    for azimuth, horizon in zip(curve.azimuth_deg, curve.horizon_deg, strict=True):
        away = min(azimuth, 360.0 - azimuth)
        assert horizon == pytest.approx(10.0 + 20.0 * away / 180.0)


def test_where_the_sun_stays_up_it_runs_from_noon_to_noon() -> None:
    found = night(TROMS, date(2026, 6, 21))
    curve = altitude_curve(TROMS, CRAB, found)
    assert curve.instants[0] == found.noon_utc
    assert abs(curve.instants[-1] - found.next_noon_utc) < timedelta(milliseconds=1)
