"""Sun, Moon and stars stand where the US Naval Observatory and JPL's ephemeris put them."""

from datetime import UTC, date, datetime, time, timedelta

import erfa
import numpy as np
import pytest
from skyfield.api import wgs84

from logbook.sky.night import earth
from logbook.sky.night.arrays import Floats
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import SkyFrame, sky_frame
from tests.sky.tables import SITES, jpl, rows

ATLANTA = Site("Atlanta", 33.76, -84.41, 322.0, "America/New_York")


def frame_around(site: Site, instant: datetime) -> SkyFrame:
    half = timedelta(hours=12)
    return sky_frame(site, instant - half, instant + half)


def equinox_places(frame: SkyFrame, vectors: Floats, mjd: float) -> tuple[float, float]:
    """Right ascension from the true equinox and declination, degrees."""
    ra, dec = erfa.c2s(vectors)
    equinox = erfa.eo06a(earth.MJD_JD, float(frame.orientation.tt_jd(mjd)))
    return float(np.degrees(ra - equinox) % 360.0), float(np.degrees(dec))


def midnight_ut1(text: str) -> tuple[SkyFrame, float]:
    midnight = datetime.combine(date.fromisoformat(text), time(0), UTC)
    frame = frame_around(ATLANTA, midnight)
    return frame, earth.to_mjd(midnight) - frame.orientation.ut1_utc_s / 86400.0


@pytest.mark.parametrize("row", rows("moon_atlanta_2008.csv"), ids=lambda row: row["date"])
def test_the_moon_from_the_site_is_where_the_naval_observatory_has_it(row: dict[str, str]) -> None:
    frame, mjd = midnight_ut1(row["date"])
    moon = frame.sun_moon(np.array([mjd]))[1][0]
    ra, dec = equinox_places(frame, moon, mjd)
    wanted = np.radians([float(row["ra_deg"]), float(row["dec_deg"])])
    apart = erfa.seps(np.radians(ra), np.radians(dec), *wanted)
    assert apart / earth.ARCSEC_RAD < 10.0
    distance_km = float(np.linalg.norm(moon)) * earth.AU_M / 1000.0
    assert distance_km == pytest.approx(float(row["distance_km"]), abs=20.0)


@pytest.mark.parametrize("row", rows("deneb_atlanta_2006.csv"), ids=lambda row: row["date"])
def test_a_star_of_date_is_where_the_naval_observatory_has_it(row: dict[str, str]) -> None:
    # Deneb, ICRS epoch 2000, Hipparcos: 20h41m25.915s +45°16′49.22″; its motion is 0.002″ a year.
    frame, mjd = midnight_ut1(row["date"])
    star = frame.places(np.array([310.3579797]), np.array([45.2803388]))[0]
    ra, dec = equinox_places(frame, star, mjd)
    wanted = np.radians([float(row["ra_deg"]), float(row["dec_deg"])])
    apart = erfa.seps(np.radians(ra), np.radians(dec), *wanted)
    assert apart / earth.ARCSEC_RAD < 0.4  # 0.3″ of it is the site's own motion, left out


def test_altitudes_and_separations_agree_with_an_almanac_on_jpls_ephemeris() -> None:
    # Reference: skyfield on JPL DE421, airless apparent places from the site.
    scale, ephemeris = jpl()
    random = np.random.default_rng(20261125)
    worst = {"sun": 0.0, "moon": 0.0}
    for site in SITES:
        here = ephemeris["earth"] + wgs84.latlon(
            site.latitude_deg, site.longitude_deg, site.elevation_m
        )
        for days in random.uniform(0, 9000, 12):
            instant = datetime(2001, 1, 1, tzinfo=UTC) + timedelta(days=float(days))
            frame = frame_around(site, instant)
            mjd = np.array([earth.to_mjd(instant)])
            ours = {
                "sun": frame.sun_altitude_deg(mjd)[0],
                "moon": frame.moon_altitude_deg(mjd)[0],
            }
            at = here.at(scale.from_datetime(instant))
            for body, altitude in ours.items():
                reference = at.observe(ephemeris[body]).apparent().altaz()[0].degrees
                worst[body] = max(worst[body], abs(altitude - reference) * 3600.0)
    assert worst["sun"] < 0.6
    assert worst["moon"] < 12.0


def test_the_check_value_of_the_moon_beside_a_star() -> None:
    # Computed by skyfield (DE421) and astropy: Moon at altitude 27.453°, 6.04° from M 1, seen
    # from the site; from the Earth's centre it would be 6.93°.
    site = Site("Check", 52.1, -3.7, 200.0, "Europe/London")
    instant = datetime(2026, 11, 25, 20, tzinfo=UTC)
    frame = frame_around(site, instant)
    mjd = np.array([earth.to_mjd(instant)])
    crab = frame.places(np.array([83.6331]), np.array([22.0145]))[0]
    moon = frame.moon_directions(mjd)[0]
    assert frame.moon_altitude_deg(mjd)[0] == pytest.approx(27.453, abs=0.002)
    assert np.degrees(np.arccos(crab @ moon)) == pytest.approx(6.04, abs=0.02)
    # Vega, ICRS, 18h36m56.336s +38°47′01.28″: altitude 34.353°, azimuth 290.965°.
    vega = frame.places(np.array([279.234733]), np.array([38.783689]))
    assert frame.altitudes_deg(vega, mjd)[0, 0] == pytest.approx(34.3530, abs=0.002)
    assert frame.azimuths_deg(vega, mjd)[0, 0] == pytest.approx(290.9651, abs=0.002)
