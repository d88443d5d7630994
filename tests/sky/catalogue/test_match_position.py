"""Which object a frame shows, from where it points."""

import pytest
from astropy.coordinates import FK5, SkyCoord

from logbook.sky.catalogue.match_position import nearest_object, separation_deg, to_icrs

# Places to 0.01 degrees, from memory (any atlas).
PLACES = (
    (10.68, 41.27, "M 31"),
    (23.46, 30.66, "M 33"),
    (202.47, 47.20, "M 51"),
    (83.63, 22.01, "M 1"),
    (250.42, 36.46, "M 13"),
    (283.40, 33.03, "M 57"),
)


@pytest.mark.parametrize(("ra_deg", "dec_deg", "name"), PLACES)
def test_the_object_in_the_middle_is_found(ra_deg: float, dec_deg: float, name: str) -> None:
    near = nearest_object(ra_deg, dec_deg, 0.5)
    assert near is not None
    assert near.thing.designation == name
    assert near.separation_deg < 0.02


def test_a_place_within_a_large_object_is_that_object() -> None:
    near = nearest_object(10.55, 41.15, 0.4)  # between M 31's middle and its small companion
    assert near is not None
    assert near.thing.designation == "M 31"


def test_how_far_it_is_is_what_astropy_says() -> None:
    near = nearest_object(10.6, 41.2, 0.5)
    assert near is not None
    place = SkyCoord(10.6, 41.2, unit="deg")
    other = SkyCoord(near.thing.ra_deg, near.thing.dec_deg, unit="deg")
    assert near.separation_deg == pytest.approx(place.separation(other).deg, rel=1e-6)
    assert separation_deg(359.9, -89.0, 120.0, 89.5) == pytest.approx(
        SkyCoord(359.9, -89.0, unit="deg").separation(SkyCoord(120.0, 89.5, unit="deg")).deg
    )


def test_an_empty_field_has_no_object() -> None:
    assert nearest_object(10.685, 41.269, 1e-6) is None


def test_a_place_of_date_is_brought_to_2000() -> None:
    of_date = SkyCoord(10.6847, 41.2688, unit="deg").transform_to(FK5(equinox="J2025.8"))
    ra_deg, dec_deg = to_icrs(of_date.ra.deg, of_date.dec.deg, 2025.8)
    assert separation_deg(ra_deg, dec_deg, 10.6847, 41.2688) < 1e-4
    assert separation_deg(of_date.ra.deg, of_date.dec.deg, 10.6847, 41.2688) > 0.3
    assert to_icrs(10.0, 20.0, 2000.0) == (10.0, 20.0)
