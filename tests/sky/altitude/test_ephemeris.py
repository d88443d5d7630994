"""The Moon and the planets as objects to choose, against JPL's ephemeris."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import pytest

from logbook.errors import NotFound
from logbook.sky.altitude.ephemeris import (
    BODIES,
    Mover,
    body_object,
    constellation_at,
)
from logbook.sky.night import earth
from logbook.sky.night.almanac import night_and_frame
from logbook.sky.night.intervals import common
from logbook.sky.night.site import Site, horizon_altitude_deg
from logbook.sky.night.sky_frame import SkyFrame, sky_frame
from tests.sky import tables

# Source: greatest differences of the series from DE440 in 2026 to 2030, rounded up.
ALLOWED_ARCSEC = {
    "Moon": 12.0,
    "Mercury": 5.0,
    "Venus": 9.0,
    "Mars": 20.0,
    "Jupiter": 32.0,
    "Saturn": 70.0,
    "Uranus": 9.0,
    "Neptune": 9.0,
}
BARYCENTRES = ("Jupiter", "Saturn", "Uranus", "Neptune")
DAY = timedelta(hours=12)


def around(at: datetime, site: Site = tables.WALES) -> SkyFrame:
    return sky_frame(site, at - DAY, at + DAY)


def jpl_apparent(site: Site, name: str, at: datetime) -> Any:
    from skyfield.api import wgs84

    scale, bodies = tables.jpl()
    place = wgs84.latlon(site.latitude_deg, site.longitude_deg, site.elevation_m)
    target = f"{name} barycenter" if name in BARYCENTRES else name
    return (bodies["earth"] + place).at(scale.from_datetime(at)).observe(bodies[target]).apparent()


@pytest.mark.parametrize("name", BODIES)
def test_places_agree_with_the_jet_propulsion_laboratory(name: str) -> None:
    # Source: skyfield with DE421, from the site, without air; six instants over five years.
    for step in range(6):
        at = datetime(2026, 1, 5, 3, tzinfo=UTC) + timedelta(days=317.3 * step)
        mover, mjd = Mover(around(at), name), np.array([earth.to_mjd(at)])
        altitude, azimuth, _ = jpl_apparent(tables.WALES, name, at).altaz()
        allowed = ALLOWED_ARCSEC[name] / 3600.0
        assert mover.altitude_deg(mjd)[0] == pytest.approx(altitude.degrees, abs=allowed)
        across = (mover.azimuth_deg(mjd)[0] - azimuth.degrees + 180.0) % 360.0 - 180.0
        assert abs(across) * np.cos(altitude.radians) < allowed


def test_the_full_moon_is_as_bright_as_is_printed() -> None:
    # Source: full Moon 2018-09-25 02:52 UT (USNO); -12.7 (Allen 1973, from memory).
    at = datetime(2018, 9, 25, 2, 52, tzinfo=UTC)
    moon = body_object(around(at), "Moon", at)
    assert moon.magnitude == pytest.approx(-12.7, abs=0.1)
    half = datetime(2018, 9, 16, 23, 15, tzinfo=UTC)
    assert (body_object(around(half), "Moon", half).magnitude or 0.0) > -10.5


# Source: the constellations these stars are named for.
@pytest.mark.parametrize(
    ("ra_deg", "dec_deg", "short"),
    [(279.235, 38.784, "Lyr"), (101.287, -16.716, "CMa"), (37.955, 89.264, "UMi")],
)
def test_a_place_has_its_constellation(ra_deg: float, dec_deg: float, short: str) -> None:
    assert constellation_at(ra_deg, dec_deg) == short


def test_the_time_above_a_limit_begins_and_ends_at_the_limit() -> None:
    _, frame = night_and_frame(tables.WALES, date(2026, 11, 21))
    mover = Mover(frame, "Saturn")
    (span,) = mover.spans_above(20.0)
    mjd = np.array([earth.to_mjd(span.start), earth.to_mjd(span.end)])
    assert mover.altitude_deg(mjd) == pytest.approx([20.0, 20.0], abs=1e-4)


def test_trees_and_houses_cut_the_time() -> None:
    walled = Site("walled", 52.1, -3.7, 200.0, "Europe/London", ((0.0, 0.0), (180.0, 45.0)))
    _, frame = night_and_frame(walled, date(2026, 11, 21))
    mover = Mover(frame, "Jupiter")
    flat = Mover(night_and_frame(tables.WALES, date(2026, 11, 21))[1], "Jupiter").spans_above(15.0)
    cut = mover.spans_above(15.0)
    assert sum(each.hours for each in cut) < sum(each.hours for each in flat)
    edges = np.array([earth.to_mjd(span.start) for span in cut if span.start > flat[0].start])
    assert edges.size
    for altitude, azimuth in zip(mover.altitude_deg(edges), mover.azimuth_deg(edges), strict=True):
        wall = horizon_altitude_deg(walled.horizon, float(azimuth))
        assert altitude == pytest.approx(max(15.0, wall), abs=1e-3)


def test_the_highest_is_within_the_spans() -> None:
    found, frame = night_and_frame(tables.WALES, date(2026, 11, 21))
    mover = Mover(frame, "Jupiter")
    spans = common(mover.spans_above(15.0), found.below_6)
    highest = mover.highest(spans)
    assert highest is not None
    assert spans[0].start <= highest[1] <= spans[-1].end
    assert mover.highest(()) is None


def test_what_does_not_move_so_is_refused() -> None:
    frame = around(datetime(2026, 11, 21, tzinfo=UTC))
    with pytest.raises(NotFound, match="Neptune"):
        Mover(frame, "Vulcan")
