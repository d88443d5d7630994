"""One object on one night."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from astropy.coordinates import CIRS, AltAz, SkyCoord
from astropy.time import Time
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.sky.altitude.curve import fixed
from logbook.sky.altitude.one_object import BEST_HOURS, object_along, object_tonight
from logbook.sky.altitude.visibility import SIDEREAL_DAY, spans_mjd, windows
from logbook.sky.catalogue.objects import SkyObject, deep_sky
from logbook.sky.framing.field_rotation import drift_arcsec_s, parallactic_deg, rotation_deg_h
from logbook.sky.limits.limits import Limits
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.arrays import Floats
from logbook.sky.night.earth import to_mjd
from logbook.sky.night.intervals import total_hours
from logbook.sky.night.site import Horizon, Site
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.observer import observer
from tests.sky.tables import CAPE, EQUATOR, TROMS, WALES

TREES: Horizon = (
    (0, 20), (40, 45), (60, 44), (61, 12), (120, 10), (180, 35), (200, 36), (230, 5), (300, 40),
)  # fmt: skip
NEW_MOON = date(2026, 11, 8)


def thing(name: str) -> SkyObject:
    return deep_sky().at(deep_sky().index_of(name))


def test_the_parallactic_angle_is_that_of_an_observatory() -> None:
    # Source: the infrared telescope facility's calculator at latitude 19.826218°, declination -30°,
    # as quoted in astroplan's tests: 46.7237968° at +3 h, -65.428924° at -5 h.
    found = parallactic_deg(np.array([45.0, -75.0]), -30.0, 19.826218)
    assert found == pytest.approx([46.7237968, -65.428924], abs=1e-4)


@pytest.mark.parametrize("site", [WALES, CAPE], ids=lambda site: site.name)
def test_the_parallactic_angle_of_the_curve_is_astropys(site: Site) -> None:
    # Reference: astropy's horizontal places of the object and of the pole of date. In those axes
    # "north" is the zenith and azimuth grows as hour angle does towards the west.
    one = thing("NGC 1952")
    curve = object_tonight(site, one, date(2026, 11, 25), step_minutes=60.0).curve
    here = observer(site).location
    times = Time(list(curve.instants))
    frame = AltAz(obstime=times, location=here)
    there = SkyCoord(one.ra_deg, one.dec_deg, unit="deg").transform_to(frame)
    pole = SkyCoord(0.0, 90.0, unit="deg", frame=CIRS(obstime=times, location=here))
    theirs = there.position_angle(pole.transform_to(frame)).to_value("deg")
    apart = (np.array(curve.parallactic_deg) - theirs + 180.0) % 360.0 - 180.0
    assert np.max(np.abs(apart)) < 0.01


def test_the_field_turns_as_the_parallactic_angle_does() -> None:
    # Latitude 52°, declination 20°, hour angle 30°: azimuth 227.488°, altitude 50.402°, computed
    # with ERFA's hd2ae; 9.8174 degrees an hour.
    assert rotation_deg_h(50.402, 227.488, 52.0) == pytest.approx(9.8174, abs=1e-3)
    step = 0.001
    angles = parallactic_deg(np.array([30.0 - step, 30.0 + step]), 20.0, 52.0)
    assert (angles[1] - angles[0]) / (2.0 * step) * 15.0410672 == pytest.approx(9.8174, abs=1e-3)


def test_a_star_drifts_with_the_cosine_of_its_declination() -> None:
    # 15.041 cos δ: 13.026 at 30°, 7.521 at 60° (arithmetic).
    assert drift_arcsec_s(np.array([30.0, 60.0])) == pytest.approx([13.026, 7.521], abs=1e-3)


def test_the_curve_has_air_and_rotation_beside_it() -> None:
    found = object_tonight(WALES, thing("NGC 1952"), date(2026, 11, 25))
    curve = found.curve
    for altitude, airmass in zip(curve.altitude_deg, curve.airmass, strict=True):
        if altitude < 0.0:
            assert np.isnan(airmass)
        elif altitude > 20.0:
            assert airmass == pytest.approx(1.0 / np.sin(np.radians(altitude)), rel=0.01)
    signs = np.sign(curve.parallactic_deg)
    assert signs[0] == -1.0
    assert signs[-1] == 1.0
    assert found.rotation_deg_h is not None
    highest = max(rate for rate, up in zip(curve.rotation_deg_h, curve.altitude_deg, strict=True)
                  if up > 30.0)  # fmt: skip
    assert found.rotation_deg_h == pytest.approx(highest, rel=0.05)


@pytest.mark.parametrize("site", [WALES, replace(WALES, horizon=TREES), CAPE, EQUATOR])
@pytest.mark.parametrize("name", ["NGC 1952", "NGC 188", "NGC 253", "NGC 6523"])
def test_windows_and_meridian_are_those_of_the_ranking(site: Site, name: str) -> None:
    found = object_tonight(site, thing(name), NEW_MOON)
    night, frame = night_and_frame(site, NEW_MOON)
    one = thing(name)
    there = frame.places(np.array([one.ra_deg]), np.array([one.dec_deg]))
    ranked = windows(frame, there, spans_mjd(night.below_18), 30.0)
    assert found.hours == pytest.approx(float(ranked.hours[0]), abs=15.0 / 3600.0)
    assert found.hours == pytest.approx(total_hours(found.windows))
    if found.windows:
        edges = spans_mjd((found.windows[0], found.windows[-1]))
        assert edges[0][0] == pytest.approx(ranked.first_mjd[0], abs=60.0 / 86400.0)
        assert edges[-1][1] == pytest.approx(ranked.last_mjd[0], abs=60.0 / 86400.0)
        assert found.max_altitude_deg == pytest.approx(ranked.max_altitude_deg[0], abs=0.02)
    assert found.transit_utc is not None
    turns = (to_mjd(found.transit_utc) - float(ranked.transit_mjd[0])) / SIDEREAL_DAY
    assert turns == pytest.approx(round(turns), abs=1e-4)


def test_the_best_stretch_is_round_the_meridian_and_away_from_the_moon() -> None:
    dark = object_tonight(WALES, thing("NGC 1952"), NEW_MOON)
    assert dark.best is not None
    assert dark.transit_utc is not None
    assert dark.best.hours == pytest.approx(BEST_HOURS, abs=0.02)
    middle = dark.best.start + (dark.best.end - dark.best.start) / 2
    assert abs(middle - dark.transit_utc) < timedelta(minutes=2)
    # On 19 November 2026 the Moon is up in the evening: the best comes after it has set.
    moonlit = object_tonight(WALES, thing("NGC 188"), date(2026, 11, 19))
    assert moonlit.best is not None
    assert moonlit.night.moon_set is not None
    assert moonlit.best.start > moonlit.night.moon_set - timedelta(minutes=20)


@pytest.mark.parametrize(
    ("site", "name", "day", "words"),
    [
        (WALES, "NGC 5139", NEW_MOON, "It never rises here: −10° at its highest."),
        (CAPE, "NGC 224", NEW_MOON, "It never reaches 30° here: 15° at its highest."),
        (WALES, "NGC 188", NEW_MOON, "It never sinks below 30° here: 48° at its lowest."),
        (WALES, "NGC 224", NEW_MOON, "It never sets here: 4° at its lowest."),
        (
            WALES,
            "NGC 6720",
            date(2026, 1, 5),
            "It does not stand above 30° in darkness",
        ),
        (
            TROMS,
            "NGC 188",
            date(2026, 6, 21),
            "It is too bright all night for",
        ),
        (
            WALES,
            "NGC 7331",
            date(2026, 6, 21),
            "Hours are counted with the Sun below −12° instead of −18°.",
        ),
    ],
)
def test_what_is_unusual_is_said(site: Site, name: str, day: date, words: str) -> None:
    found = object_tonight(site, thing(name), day).words
    assert any(each.startswith(words) for each in found), found


def test_of_what_moves_only_this_night_is_spoken() -> None:
    # The Moon on 21 December 2026 is at declination +25°: at 69° N it stays up (90 - 69 < 25).
    def moon(frame: SkyFrame, mjd: Floats) -> Floats:
        return frame.moon_directions(mjd)

    found = object_along(TROMS, moon, date(2026, 12, 21))
    assert found.words[0].startswith("It does not set this night: ")
    assert found.moon_separation_deg == pytest.approx(0.0, abs=1e-3)
    low = object_along(WALES, moon, date(2026, 12, 8))
    assert low.words[0].startswith("It does not reach 30° this night: ")


def test_what_the_catalogue_does_not_know_is_said() -> None:
    catalogue = deep_sky()
    row = np.flatnonzero(np.isnan(catalogue.major_arcmin) & np.isnan(catalogue.magnitude))[0]
    words = object_tonight(WALES, catalogue.at(int(row)), NEW_MOON).words
    assert words[-2:] == ("Its size is unknown.", "Its magnitude is unknown.")


def test_a_wall_cuts_a_window_into_parts() -> None:
    walled = replace(WALES, horizon=((0, 0), (150, 0), (151, 85), (200, 85), (201, 0)))
    found = object_tonight(walled, thing("NGC 1952"), NEW_MOON, Limits(min_altitude_deg=20.0))
    assert len(found.windows) == 2
    assert "Its time above 20° and the horizon comes in 2 parts." in found.words
    assert found.best is not None


@settings(max_examples=50, deadline=None)
@given(st.floats(-89.0, 89.0), st.floats(0.0, 359.9), st.floats(-89.0, 89.0))
def test_no_place_or_direction_is_too_odd(latitude: float, ra: float, dec: float) -> None:
    site = replace(WALES, latitude_deg=latitude)
    one = replace(thing("NGC 1952"), ra_deg=ra, dec_deg=dec)
    found = object_along(site, fixed(one), NEW_MOON, step_minutes=60.0)
    assert found.hours <= total_hours(found.darkness.intervals) + 1e-6
    assert (found.best is None) == (not found.windows)
    assert found.transit_utc is not None
    # A star's greatest altitude is 90° less its distance in declination: 0.2° is precession.
    assert found.transit_altitude_deg == pytest.approx(90.0 - abs(latitude - dec), abs=0.2)
