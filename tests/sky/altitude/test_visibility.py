"""The fast way over the whole catalogue gives what the slow and sure ways give."""

from dataclasses import replace
from datetime import date

import astropy.units as u
import numpy as np
import pytest
from astropy.coordinates import AltAz, EarthLocation, SkyCoord
from astropy.time import Time

from logbook.sky.altitude.visibility import SIDEREAL_DAY, Spans, Windows, spans_mjd, windows
from logbook.sky.catalogue.objects import deep_sky
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Floats
from logbook.sky.night.earth import to_mjd
from logbook.sky.night.site import Horizon, Site
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.observer import stay_offline
from tests.sky.tables import CAPE, DATE_LINE, EQUATOR, TROMS, WALES, instant, rows

TREES: Horizon = (
    (0, 20), (40, 45), (60, 44), (61, 12), (120, 10), (180, 35), (200, 36), (230, 5), (300, 40),
)  # fmt: skip
NIGHTS = (
    (WALES, date(2026, 11, 8)),
    (WALES, date(2026, 10, 24)),
    (TROMS, date(2026, 12, 21)),
    (EQUATOR, date(2026, 6, 15)),
    (CAPE, date(2026, 6, 15)),
    (DATE_LINE, date(2026, 3, 18)),
    # By a clock that is half a day off the Sun the darkness comes in two parts.
    (Site("Far", -37.0, 175.0, 0.0, "UTC"), date(2026, 7, 1)),
)


def catalogue_places() -> tuple[Floats, Floats]:
    """Every ninth object of the catalogue, and the corners of the sky."""
    ra = np.append(deep_sky().ra_deg[::9], [0.0, 0.0, 123.4, 359.9999])
    dec = np.append(deep_sky().dec_deg[::9], [90.0, -90.0, 0.0, 0.0])
    return ra, dec


def dark_night(site: Site, day: date) -> tuple[SkyFrame, Floats, Spans]:
    found, frame = night_and_frame(site, day)
    return frame, frame.places(*catalogue_places()), spans_mjd(found.below_18)


@pytest.mark.parametrize(("site", "day"), NIGHTS)
def test_altitudes_are_those_of_astropy_within_two_arcseconds(site: Site, day: date) -> None:
    # Reference: astropy's ICRS to AltAz without air, all corrections included.
    stay_offline()
    frame, directions, _ = dark_night(site, day)
    mjd = np.linspace(frame.start_mjd, frame.end_mjd, 9)
    here = EarthLocation.from_geodetic(site.longitude_deg, site.latitude_deg, site.elevation_m)
    ra, dec = catalogue_places()
    there = SkyCoord(ra * u.deg, dec * u.deg)[:, None]
    altaz = there.transform_to(AltAz(obstime=Time(mjd, format="mjd")[None, :], location=here))
    apart = np.abs(frame.altitudes_deg(directions, mjd) - altaz.alt.deg) * 3600.0
    assert np.max(apart) < 2.0
    low = altaz.alt.deg < 80.0
    around = frame.azimuths_deg(directions, mjd) - altaz.az.deg
    across = ((around + 180.0) % 360.0 - 180.0) * np.cos(altaz.alt.rad) * 3600.0
    assert np.max(np.abs(across[low])) < 2.0


def look_by_look(
    frame: SkyFrame, directions: Floats, dark: Spans, limit_deg: float, looks_a_minute: int
) -> tuple[Floats, Floats, Floats]:
    """Hours, first and last from looking very often, with straight lines in between."""
    horizon = np.array(frame.site.horizon or ((0.0, -90.0),))
    hours = np.zeros(len(directions))
    first, last = np.full_like(hours, np.inf), np.full_like(hours, -np.inf)
    for start, end in dark:
        minutes = np.linspace(start, end, round((end - start) * 1440.0 * looks_a_minute) + 1)
        altitude = frame.altitudes_deg(directions, minutes)
        skyline = np.interp(
            frame.azimuths_deg(directions, minutes), horizon[:, 0], horizon[:, 1], period=360.0
        )
        margin = altitude - np.maximum(skyline, limit_deg)
        left, right = margin[:, :-1], margin[:, 1:]
        share = np.clip(np.maximum(left, right) / np.maximum(np.abs(left - right), 1e-12), 0, 1)
        up = np.where((left >= 0) & (right >= 0), 1.0, np.where((left < 0) & (right < 0), 0, share))
        hours += up.sum(axis=1) * (minutes[1] - minutes[0]) * 24.0
        seen = np.where(margin >= 0.0, minutes, np.nan)
        first = np.fmin(first, np.nanmin(np.where(np.isnan(seen), np.inf, seen), axis=1))
        last = np.fmax(last, np.nanmax(np.where(np.isnan(seen), -np.inf, seen), axis=1))
    return hours, first, last


@pytest.mark.parametrize("limit_deg", [0.0, 20.0, 30.0, 55.0])
@pytest.mark.parametrize(("site", "day"), NIGHTS)
def test_hours_over_a_flat_limit_are_those_of_looking_every_minute(
    site: Site, day: date, limit_deg: float
) -> None:
    frame, directions, dark = dark_night(site, day)
    found = windows(frame, directions, dark, limit_deg)
    assert_same(found, *look_by_look(frame, directions, dark, limit_deg, 1))


@pytest.mark.parametrize("limit_deg", [0.0, 30.0])
@pytest.mark.parametrize(("site", "day"), NIGHTS)
def test_hours_over_trees_and_houses_are_those_of_looking_every_minute(
    site: Site, day: date, limit_deg: float
) -> None:
    # Straight lines over a minute are too coarse at the house's edge: four looks a minute.
    frame, directions, dark = dark_night(replace(site, horizon=TREES), day)
    found = windows(frame, directions[::5], dark, limit_deg)
    assert_same(found, *look_by_look(frame, directions[::5], dark, limit_deg, 4))


def assert_same(found: Windows, hours: Floats, first: Floats, last: Floats) -> None:
    assert np.max(np.abs(found.hours - hours)) * 3600.0 < 30.0
    clear = hours > 0.05
    assert np.count_nonzero(clear) > 10
    assert np.max(np.abs(found.first_mjd - first)[clear]) * 1440.0 < 1.1
    assert np.max(np.abs(found.last_mjd - last)[clear]) * 1440.0 < 1.1
    assert np.all(np.isnan(found.first_mjd) == (found.hours == 0.0))
    assert np.all(np.isnan(found.last_mjd) == (found.hours == 0.0))


@pytest.mark.parametrize(
    ("latitude_deg", "dec_deg", "limit_deg", "hours"),
    [(52, 20, 30, 8.8454), (40, 0, 30, 6.5493), (40, 20, 30, 8.9217), (-33, -60, 40, 8.7649),
     (52, -10, 30, 0.0), (52, 70, 30, 23.9345)],
)  # fmt: skip
def test_time_above_a_limit_is_the_closed_form(
    latitude_deg: float, dec_deg: float, limit_deg: float, hours: float
) -> None:
    # Source: cos H = (sin a - sin φ sin δ) / (cos φ cos δ), Meeus 1998, eq. 15.1, in sidereal time;
    # the declination is that of date here, so the direction is given in the frame of date.
    frame, _, _ = dark_night(replace(WALES, latitude_deg=latitude_deg), date(2026, 11, 8))
    dec = np.radians(dec_deg)
    meridian = float(frame.meridian_rad(frame.start_mjd + 0.5))
    direction = np.array(
        [[np.cos(dec) * np.cos(meridian), np.cos(dec) * np.sin(meridian), np.sin(dec)]]
    )
    turn = [(frame.start_mjd + 0.5 - SIDEREAL_DAY / 2, frame.start_mjd + 0.5 + SIDEREAL_DAY / 2)]
    found = windows(frame, direction, turn, limit_deg)
    # Polar motion moves the latitude by up to 0.3″.
    assert found.hours[0] == pytest.approx(hours, abs=2e-4)
    assert found.transit_mjd[0] == pytest.approx(frame.start_mjd + 0.5, abs=1e-6)
    highest = 90.0 - abs(latitude_deg - dec_deg)
    assert found.max_altitude_deg[0] == pytest.approx(highest, abs=2e-4)


@pytest.mark.parametrize(("site", "day"), NIGHTS)
def test_the_highest_in_darkness_is_the_highest_of_every_minute(site: Site, day: date) -> None:
    frame, directions, dark = dark_night(site, day)
    found = windows(frame, directions, dark, 30.0)
    minutes = np.concatenate([np.linspace(a, b, round((b - a) * 1440) + 1) for a, b in dark])
    highest = np.max(frame.altitudes_deg(directions, minutes), axis=1)
    # Near the zenith a star moves by half a degree in the two minutes around the highest look.
    over = found.max_altitude_deg - highest
    assert np.min(over) > -1e-6
    assert np.max(over) < 0.13
    assert np.max(over[highest < 80.0]) < 0.001


@pytest.mark.parametrize(("site", "day"), NIGHTS)
def test_at_its_transit_an_object_is_on_the_meridian_and_highest(site: Site, day: date) -> None:
    frame, directions, dark = dark_night(site, day)
    found = windows(frame, directions, dark, 30.0)
    assert np.all((found.transit_mjd >= frame.start_mjd) & (found.transit_mjd <= frame.end_mjd))
    at, around = found.transit_mjd, 10.0 / 86400.0
    sines = [
        np.einsum("ij,ij->i", directions, frame.zenith(at + shift))
        for shift in (-around, 0.0, around)
    ]
    assert np.all(sines[1] >= np.maximum(sines[0], sines[2]) - 1e-12)


def test_the_night_of_23_hours_has_objects_that_do_not_transit() -> None:
    frame, directions, dark = dark_night(WALES, date(2026, 3, 28))
    found = windows(frame, directions, dark, 30.0)
    without = np.isnan(found.transit_mjd)
    # 23 of the 23.93 hours between two transits are in that night.
    assert np.mean(without) == pytest.approx(0.93 / 23.93, abs=0.02)


def test_without_darkness_there_is_no_window() -> None:
    frame, directions, dark = dark_night(WALES, date(2026, 6, 21))
    assert len(dark) == 0
    found = windows(replace_horizon(frame), directions, dark, 30.0)
    assert np.all(found.hours == 0.0)
    assert np.all(np.isnan(found.max_altitude_deg))


def replace_horizon(frame: SkyFrame) -> SkyFrame:
    return replace(frame, site=replace(frame.site, horizon=TREES))


def test_a_horizon_below_the_limit_changes_nothing() -> None:
    frame, directions, dark = dark_night(WALES, date(2026, 11, 8))
    flat = windows(frame, directions, dark, 50.0)
    behind_trees = windows(replace_horizon(frame), directions, dark, 50.0)
    assert np.array_equal(flat.hours, behind_trees.hours)


def test_an_object_that_dips_below_the_limit_has_fewer_hours_than_its_ends_are_apart() -> None:
    # In the polar night circumpolar stars cross a limit near their lowest point and come back.
    frame, directions, dark = dark_night(TROMS, date(2026, 12, 21))
    found = windows(frame, directions, dark, 55.0)
    apart = (found.last_mjd - found.first_mjd) * 24.0
    dips = found.hours < apart - 0.1
    assert np.any(dips)
    assert np.all(found.hours[found.hours > 0] <= apart[found.hours > 0] + 1e-6)


def test_at_the_pole_the_sky_turns_level() -> None:
    pole = replace(TROMS, latitude_deg=90.0, longitude_deg=0.0, time_zone="UTC")
    frame, directions, dark = dark_night(pole, date(2026, 12, 21))
    found = windows(frame, directions, dark, 30.0)
    length = sum(end - start for start, end in dark) * 24.0
    dec = np.degrees(np.arcsin(directions[:, 2]))
    assert found.hours[dec > 30.01] == pytest.approx(length)
    assert np.all(found.hours[dec < 29.99] == 0.0)


@pytest.mark.parametrize("row", range(0, 90, 3))
def test_rigel_rises_transits_and_sets_as_the_naval_observatory_printed_it(row: int) -> None:
    # A star rises at 34′ below the horizon. Rigel, ICRS: 05h14m32.272s -08°12′05.90″.
    times = [instant(each["utc"]) for each in rows("rigel_philadelphia_2006.csv")[row : row + 3]]
    site = Site("Philadelphia", 40.0, -75.15, 0.0, "Etc/GMT+4")
    frame = night_and_frame(site, times[1].date())[1]
    rigel = frame.places(np.array([78.634467]), np.array([-8.201639]))
    noon = to_mjd(times[1])
    found = windows(frame, rigel, [(noon - 0.5, noon + 0.5)], -34.0 / 60.0)
    for ours, printed in zip(
        (found.first_mjd, found.transit_mjd, found.last_mjd), times, strict=True
    ):
        assert abs(ours[0] - to_mjd(printed)) * 1440.0 < 1.0


def test_altitude_and_azimuth_of_the_worked_example() -> None:
    # Source: Meeus 1998, example 13.b: hour angle 64.352133°, declination -6°43′11.61″, latitude
    # +38°55′17″: azimuth 68.0337° from south, altitude 15.1249°.
    site = Site("Washington", 38.0 + 55.0 / 60.0 + 17.0 / 3600.0, -77.065, 0.0, "Etc/GMT+5")
    frame = night_and_frame(site, date(1987, 4, 10))[1]
    mjd = np.array([frame.start_mjd + 0.3])
    dec, ra = -np.radians(6.0 + 43.0 / 60.0 + 11.61 / 3600.0), frame.meridian_rad(mjd)[0]
    ra -= np.radians(64.352133)
    there = np.array([[np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)]])
    # 0.0001°, and the wobble of the pole on top.
    assert frame.altitudes_deg(there, mjd)[0, 0] == pytest.approx(15.1249, abs=2e-4)
    assert frame.azimuths_deg(there, mjd)[0, 0] == pytest.approx(248.0337, abs=2e-4)
