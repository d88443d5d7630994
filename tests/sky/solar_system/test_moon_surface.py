"""How the Moon is turned and lit, against the handbook's example and JPL's ephemeris."""

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from logbook.sky.night import earth
from logbook.sky.night.site import Site
from logbook.sky.night.sky_frame import sky_frame
from logbook.sky.solar_system.moon_surface import MoonState, moon_state, sun_altitude_deg
from tests.sky import tables

# Of the Moon's libration; what the optical part leaves out (Meeus 1998, ch. 53).
PHYSICAL_DEG = 0.04


def seen(site: Site, at: datetime) -> MoonState:
    day = timedelta(hours=12)
    return moon_state(sky_frame(site, at - day, at + day), at)


def dynamical(*when: int) -> datetime:
    """An instant given in dynamical time, as UTC."""
    instant = datetime(*when, tzinfo=UTC)  # type: ignore[arg-type, misc]
    return instant - timedelta(seconds=32.184 + earth.tai_utc_s(earth.to_mjd(instant)))


EXAMPLE = dynamical(1992, 4, 12)


def test_the_worked_example_of_the_handbook() -> None:
    # Source: Meeus 1998, example 53.a: optical libration -1.206 and +4.194, l0 67.89, b0 +1.46,
    # colongitude 22.11.
    state = seen(tables.EQUATOR, EXAMPLE)
    assert state.geocentric_libration_deg == pytest.approx((-1.206, 4.194), abs=0.002)
    assert state.colongitude_deg == pytest.approx(22.11, abs=PHYSICAL_DEG)
    assert state.subsolar_longitude_deg == pytest.approx(67.89, abs=PHYSICAL_DEG)
    assert state.subsolar_latitude_deg == pytest.approx(1.46, abs=PHYSICAL_DEG)
    assert state.visible_terminator == "sunrise"


def under_the_moon(at: datetime) -> Site:
    """The place that has the Moon in its zenith, where both librations are alike."""
    found = tables.EQUATOR
    for _ in range(4):
        state = seen(found, at)
        north = np.radians(state.azimuth_deg)
        away = 90.0 - state.altitude_deg
        latitude = found.latitude_deg + away * float(np.cos(north))
        width = float(np.cos(np.radians(found.latitude_deg)))
        longitude = found.longitude_deg + away * float(np.sin(north)) / width
        turned = (longitude + 180.0) % 360.0 - 180.0
        found = Site("under the Moon", latitude, turned, 0.0, "UTC")
    return found


def test_the_axis_of_the_worked_example() -> None:
    # Source: Meeus 1998, example 53.a: P 15.08, libration from the Earth's middle.
    state = seen(under_the_moon(EXAMPLE), EXAMPLE)
    assert state.altitude_deg > 89.0
    assert state.axis_position_angle_deg == pytest.approx(15.08, abs=0.1)
    centre = state.geocentric_libration_deg
    here = (state.libration_longitude_deg, state.libration_latitude_deg)
    assert here == pytest.approx(centre, abs=0.05)


def test_the_lit_limb_of_the_worked_example() -> None:
    # Source: Meeus 1998, example 48.a, the same instant: k 0.6786, bright limb at 285.0.
    state = seen(under_the_moon(EXAMPLE), EXAMPLE)
    assert state.illumination == pytest.approx(0.6786, abs=0.002)
    assert state.bright_limb_position_angle_deg == pytest.approx(285.0, abs=0.2)


# Source: JPL's DE421, its Moon turned by its own Euler angles (mean-Earth axes). The latitude of
# libration is 0.022 degrees off for the axes alone.
@pytest.mark.parametrize(
    ("when", "colongitude_deg", "libration_deg"),
    [
        ((2024, 1, 18, 0, 0), 352.80, (5.26, -0.67)),
        ((2026, 1, 26, 4, 48), 3.93, (-3.88, -5.60)),
        ((2026, 11, 19, 0, 0), 24.24, (-6.94, -2.09)),
    ],
)
def test_turning_agrees_with_the_jet_propulsion_laboratory(
    when: tuple[int, ...], colongitude_deg: float, libration_deg: tuple[float, float]
) -> None:
    state = seen(tables.WALES, datetime(*when, tzinfo=UTC))  # type: ignore[arg-type, misc]
    assert state.colongitude_deg == pytest.approx(colongitude_deg, abs=0.05)
    assert state.geocentric_libration_deg == pytest.approx(libration_deg, abs=0.05)


# Source: DE421 as above at the quarters of September 2018 (USNO): a shortcut by phase alone would
# give 0, 90, 180, 270.
@pytest.mark.parametrize(
    ("when", "colongitude_deg", "terminator"),
    [
        ((2018, 9, 16, 23, 15), 354.92, "sunrise"),
        ((2018, 9, 25, 2, 52), 94.21, "neither"),
        ((2018, 9, 3, 2, 37), 185.49, "sunset"),
        ((2018, 9, 9, 18, 1), 266.69, "neither"),
    ],
)
def test_libration_shifts_the_colongitude_of_the_quarters(
    when: tuple[int, ...], colongitude_deg: float, terminator: str
) -> None:
    state = seen(tables.WALES, datetime(*when, tzinfo=UTC))  # type: ignore[arg-type, misc]
    assert state.colongitude_deg == pytest.approx(colongitude_deg, abs=0.05)
    assert state.visible_terminator == terminator


def test_the_sun_over_a_crater() -> None:
    # Source: DE421 vectors, Copernicus, 1992 April 12, 0h TD: 2.235 degrees.
    state = seen(tables.EQUATOR, EXAMPLE)
    sub = state.colongitude_deg, state.subsolar_latitude_deg
    assert sun_altitude_deg(*sub, 9.62, -20.08) == pytest.approx(2.235, abs=PHYSICAL_DEG)


def test_the_terminator_runs_at_its_known_speed() -> None:
    # Source: DE421, 0.50795 degrees an hour on the average of a month (360 in 29.5306 days).
    first, later = (
        seen(tables.WALES, datetime(2026, 11, 21, hour, tzinfo=UTC)).colongitude_deg
        for hour in (0, 20)
    )
    assert (later - first) / 20.0 == pytest.approx(0.508, abs=0.004)


def test_size_and_distance_agree_with_an_almanac() -> None:
    # Source: skyfield with DE421, from the site.
    from skyfield.api import wgs84

    at = datetime(2026, 11, 21, 21, 0, tzinfo=UTC)
    scale, bodies = tables.jpl()
    site = tables.WALES
    place = wgs84.latlon(site.latitude_deg, site.longitude_deg, site.elevation_m)
    there = (bodies["earth"] + place).at(scale.from_datetime(at)).observe(bodies["moon"])
    state = seen(site, at)
    assert state.distance_km == pytest.approx(there.distance().km, abs=250.0)
    width = 2.0 * np.degrees(np.arcsin(1737.4 / there.distance().km)) * 3600.0
    assert state.diameter_arcsec == pytest.approx(width, abs=1.5)
    lit = there.fraction_illuminated(bodies["sun"])
    assert state.illumination == pytest.approx(lit, abs=0.001)
    altitude, azimuth, _ = there.apparent().altaz()
    assert state.altitude_deg == pytest.approx(altitude.degrees, abs=0.004)
    assert state.azimuth_deg == pytest.approx(azimuth.degrees, abs=0.004)


def test_the_site_sees_another_face_than_the_middle_of_the_earth() -> None:
    # The Moon's parallax is up to 1 degree, and so is the difference of librations.
    state = seen(tables.WALES, datetime(2026, 11, 21, 17, 0, tzinfo=UTC))
    away = np.hypot(
        state.libration_longitude_deg - state.geocentric_libration_deg[0],
        state.libration_latitude_deg - state.geocentric_libration_deg[1],
    )
    assert 0.5 < away < 1.05
