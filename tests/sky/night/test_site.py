"""A site that cannot be, or a horizon that contradicts itself, is refused in words."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.sky.night.site import checked_site, horizon_altitude_deg, read_horizon
from tests.sky.tables import WALES

TREES = ((10.0, 5.0), (90.0, 25.0), (350.0, 15.0))


def test_a_site_comes_back_clean_and_in_order() -> None:
    typed = replace(WALES, name=" The\tgarden ", horizon=((350, 15), (10, 5), (90, 25)))
    site = checked_site(typed)
    assert site.name == "The garden"
    assert site.horizon == TREES


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": "  "}, "needs a name"),
        ({"latitude_deg": 90.1}, "latitude 90.1° is not possible"),
        ({"latitude_deg": float("nan")}, "latitude nan° is not possible"),
        ({"longitude_deg": -180.5}, "longitude -180.5° is not possible"),
        ({"elevation_m": 12000.0}, "elevation 12000 m is not possible"),
        ({"time_zone": "Nowhere"}, "no time zone 'Nowhere'"),
        ({"dark_sky_mag_arcsec2": 30.0}, "dark sky 30 mag/arcsec² is not possible"),
        ({"horizon": ((10.0, 5.0),)}, "one point only"),
        ({"horizon": ((10.0, 5.0), (10.0, 6.0))}, "two altitudes at azimuth 10°"),
        ({"horizon": ((10.0, 5.0), (10.0, 5.0), (20.0, 1.0))}, "azimuth 10° twice"),
        ({"horizon": ((0.0, 5.0), (360.0, 6.0))}, "two altitudes at azimuth 0°"),
        ({"horizon": ((-10.0, 5.0), (20.0, 6.0))}, "azimuth -10° is not possible"),
        ({"horizon": ((10.0, 91.0), (20.0, 6.0))}, "altitude at azimuth 10° 91° is not possible"),
        ({"horizon": ((10.0, -6.0), (20.0, 6.0))}, "altitude at azimuth 10° -6° is not possible"),
    ],
)
def test_what_cannot_be_a_site_is_refused(changes: dict[str, object], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        checked_site(replace(WALES, **changes))  # type: ignore[arg-type]


def test_a_horizon_is_read_from_lines() -> None:
    text = "\ufeffazimuth,altitude\n# the oak\n350, 15 # its crown\n\n10;5\n90\t25\n"
    assert read_horizon(text) == TREES
    assert read_horizon("0,5\n180,9\n360,5\n") == ((0.0, 5.0), (180.0, 9.0))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no horizon in it"),
        ("# nothing\nazimuth,altitude\n", "no horizon in it"),
        ("10,5\nnorth,6\n", "line 2 is not two numbers"),
        ("10,5,1\n20,6\n", "line 1 is not two numbers"),
        ("10\n20,6\n", "line 1 is not two numbers"),
        ("10,5\n", "one point only"),
        ("nan,5\n20,6\n", "azimuth nan° is not possible"),
    ],
)
def test_a_horizon_that_cannot_be_read_is_refused(text: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_horizon(text)


@pytest.mark.parametrize(
    ("azimuth_deg", "altitude_deg"),
    [(10, 5), (50, 15), (90, 25), (350, 15), (0, 10), (360, 10), (-10, 15), (220, 20)],
)
def test_between_the_points_it_runs_straight_and_through_north(
    azimuth_deg: float, altitude_deg: float
) -> None:
    assert horizon_altitude_deg(TREES, azimuth_deg) == pytest.approx(altitude_deg)


def test_no_horizon_is_flat_and_one_point_is_level() -> None:
    assert horizon_altitude_deg((), 77.0) == 0.0
    assert horizon_altitude_deg(((10.0, 5.0),), 200.0) == 5.0


@given(st.floats(0, 360))
def test_it_stays_between_its_lowest_and_highest(azimuth_deg: float) -> None:
    assert 5.0 <= horizon_altitude_deg(TREES, azimuth_deg) <= 25.0
