"""How near the Moon comes to objects, and how bright it makes the sky there."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.sky.altitude import sky_brightness
from logbook.sky.altitude.moonlight import MoonView, moon_view
from logbook.sky.altitude.visibility import Windows, spans_mjd, windows
from logbook.sky.catalogue.objects import deep_sky
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Floats
from logbook.sky.night.site import Site
from tests.sky.tables import CAPE, EQUATOR, TROMS, WALES

NIGHTS = (
    (WALES, date(2026, 11, 26)),
    (WALES, date(2026, 11, 14)),
    (TROMS, date(2026, 12, 21)),
    (EQUATOR, date(2026, 6, 26)),
    (CAPE, date(2026, 6, 20)),
    (Site("Far", -37.0, 175.0, 0.0, "UTC"), date(2026, 7, 1)),
)

LIMIT_DEG = 30.0


def _sine_of_zenith_distance(degrees: float) -> Floats:
    return np.array([np.cos(np.radians(degrees))])


@pytest.mark.parametrize(
    ("phase", "separation", "moon_zenith", "zenith", "k", "magnitude"),
    [
        (45, 50, 70, 20, 0.15, 19.855),  # Source: printed in the documentation of specsim.
        # Source: specsim 1.0.0 (its moon model), run; agrees with the printed one.
        (0, 60, 60, 0, 0.172, 18.738),
        (60, 60, 60, 0, 0.172, 20.350),
        (90, 60, 60, 0, 0.172, 21.340),
        (120, 60, 60, 0, 0.172, 22.687),
        (90, 90, 30, 60, 0.25, 20.693),
    ],
)
def test_moonlight_is_that_of_the_paper(
    phase: float, separation: float, moon_zenith: float, zenith: float, k: float, magnitude: float
) -> None:
    light = sky_brightness.moonlight_nl(
        phase,
        np.array([float(separation)]),
        _sine_of_zenith_distance(zenith),
        _sine_of_zenith_distance(moon_zenith),
        k,
    )
    found = (20.7233 - np.log(light[0] / 34.08)) / 0.92104
    assert found == pytest.approx(magnitude, abs=0.001)


def test_the_moonless_sky_is_that_of_the_paper() -> None:
    # Source: Krisciunas & Schaefer 1991: 21.587 mag/arcsec² at the zenith is 79.0 nL (Mauna Kea).
    assert sky_brightness.nanolambert(21.587) == pytest.approx(79.0, abs=0.05)
    at_zenith = sky_brightness.dark_sky_nl(np.array([1.0]), 21.587, 0.172)
    assert at_zenith[0] == pytest.approx(79.0, abs=0.05)


@pytest.mark.parametrize(
    ("km", "mag"), [(0.0, 0.2811), (0.5, 0.2383), (1.0, 0.2057), (2.0, 0.1606)]
)
def test_extinction_by_height_is_that_of_the_table(km: float, mag: float) -> None:
    # Source: Green 1992, ICQ 14, 55.
    assert sky_brightness.extinction_mag(km * 1000.0) == pytest.approx(mag, abs=0.0001)


def test_a_moon_below_the_horizon_gives_no_light() -> None:
    light = sky_brightness.moonlight_nl(
        0.0, np.array([60.0]), np.array([0.9]), np.array([-0.01]), 0.2
    )
    assert light[0] == 0.0


@given(st.floats(0, 150), st.floats(12, 120), st.floats(0.3, 1), st.floats(0.05, 1))
def test_a_fuller_moon_is_brighter(phase: float, away: float, sine: float, moon: float) -> None:
    light = [
        sky_brightness.moonlight_nl(
            angle, np.array([away]), np.array([sine]), np.array([moon]), 0.2
        )
        for angle in (phase, phase + 10.0)
    ]
    assert light[0][0] > light[1][0] > 0.0


def moon_in_windows(site_and_day: int) -> tuple[Windows, MoonView, Floats, Floats]:
    """The moon view of some objects, and least separations by the minute: any time, Moon up."""
    site, day = NIGHTS[site_and_day]
    found_night, frame = night_and_frame(site, day)
    dark, up = spans_mjd(found_night.below_18), spans_mjd(found_night.moon_up)
    there = frame.apparent(deep_sky().unit_icrs[::9])
    found = windows(frame, there, dark, LIMIT_DEG)
    view = moon_view(frame, there, found, dark, up, LIMIT_DEG)
    minutes = np.concatenate([np.linspace(a, b, round((b - a) * 1440.0) + 1) for a, b in dark])
    apart = np.degrees(np.arccos(np.clip(there @ frame.moon_directions(minutes).T, -1, 1)))
    inside = frame.altitudes_deg(there, minutes) >= LIMIT_DEG
    moon_is_up = frame.moon_upper_limb_deg(minutes) > -34.0 / 60.0
    any_time = np.min(np.where(inside, apart, np.inf), axis=1)
    with_moon = np.min(np.where(inside & moon_is_up, apart, np.inf), axis=1)
    return found, view, any_time, with_moon


@pytest.mark.parametrize("case", range(len(NIGHTS)))
def test_the_least_separation_is_that_of_looking_every_minute(case: int) -> None:
    found, view, any_time, with_moon = moon_in_windows(case)
    long = found.hours > 0.1
    apart = np.abs(view.nearest_deg - any_time)[long]
    whole = ((found.last_mjd - found.first_mjd) * 24.0 - found.hours)[long] < 0.01
    assert np.max(apart[whole]) < 0.025
    assert np.max(apart) < 0.25  # where a window has a break, its inner ends fall between looks
    both = long & np.isfinite(with_moon) & np.isfinite(view.nearest_up_deg)
    # The Moon rises or sets between two looks: half an hour of its motion.
    assert np.max(np.abs(view.nearest_up_deg - with_moon)[both]) < 0.4
    lone = long & (np.isfinite(with_moon) != np.isfinite(view.nearest_up_deg))
    assert np.all(view.up_part[lone] < 0.5 / 24.0 / (found.last_mjd - found.first_mjd)[lone])
    assert np.all(np.isnan(view.nearest_deg) == (found.hours == 0.0))


def test_without_a_moon_no_light_and_no_limit() -> None:
    # New Moon on 2026-11-09 at 07:02 UT (computed): it is down the whole night before.
    found_night, frame = night_and_frame(WALES, date(2026, 11, 8))
    dark, up = spans_mjd(found_night.below_18), spans_mjd(found_night.moon_up)
    there = frame.apparent(deep_sky().unit_icrs)
    found = windows(frame, there, dark, LIMIT_DEG)
    view = moon_view(frame, there, found, dark, up, LIMIT_DEG)
    assert np.nanmax(view.up_part) == 0.0
    assert np.nanmax(view.moon_nl) == 0.0
    assert np.all(np.isnan(view.nearest_up_deg))


def test_a_known_dark_sky_is_used() -> None:
    found_night, frame = night_and_frame(WALES, date(2026, 11, 26))
    dark, up = spans_mjd(found_night.below_18), spans_mjd(found_night.moon_up)
    there = frame.apparent(deep_sky().unit_icrs[:200])
    found = windows(frame, there, dark, LIMIT_DEG)
    town = replace(frame, site=replace(frame.site, dark_sky_mag_arcsec2=18.5))
    country = replace(frame, site=replace(frame.site, dark_sky_mag_arcsec2=21.8))
    bright, faint = (moon_view(each, there, found, dark, up, LIMIT_DEG) for each in (town, country))
    assert np.nanmin(bright.dark_nl / faint.dark_nl) == pytest.approx(10 ** (0.4 * 3.3), rel=0.01)
    assert np.array_equal(bright.moon_nl, faint.moon_nl, equal_nan=True)
