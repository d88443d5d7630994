"""From the sky to the picture and back."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.sky.framing.projection import from_plane, to_plane
from logbook.sky.night.arrays import Floats


def unit(ra_deg: float, dec_deg: float) -> Floats:
    ra, dec = math.radians(ra_deg), math.radians(dec_deg)
    return np.array([[math.cos(dec) * math.cos(ra), math.cos(dec) * math.sin(ra), math.sin(dec)]])


def test_the_standard_of_pictures_puts_it_at_the_same_point() -> None:
    # Source: Calabretta & Greisen 2002, A&A 395, 1077, as astropy's wcs has it.
    from astropy.wcs import WCS

    world = WCS(naxis=2)
    world.wcs.ctype = ["RA---TAN", "DEC--TAN"]
    world.wcs.crval = [83.8, -5.4]
    world.wcs.cdelt = [-1.0, 1.0]  # east left
    world.wcs.crpix = [1.0, 1.0]
    for ra, dec in ((84.6, -4.9), (82.0, -7.0), (83.8, -2.0)):
        x, y = to_plane((83.8, -5.4), unit(ra, dec), 0.0)
        across, up = world.wcs_world2pix(ra, dec, 0)
        assert (x[0], y[0]) == pytest.approx((float(across), float(up)), abs=1e-9)


@pytest.mark.parametrize(
    ("angle_deg", "east", "north"),
    [(0.0, (-1, 0), (0, 1)), (90.0, (0, 1), (1, 0)), (180.0, (1, 0), (0, -1))],
)
def test_east_and_north_turn_with_the_camera(
    angle_deg: float, east: tuple[int, int], north: tuple[int, int]
) -> None:
    step = 0.01
    for there, where in ((unit(step, 0.0), east), (unit(0.0, step), north)):
        x, y = to_plane((0.0, 0.0), there, angle_deg)
        assert (x[0] / step, y[0] / step) == pytest.approx(where, abs=1e-6)


@given(
    ra=st.floats(0.0, 359.9),
    dec=st.floats(-89.9, 89.9),
    x=st.floats(-3.0, 3.0),
    y=st.floats(-3.0, 3.0),
    angle=st.floats(0.0, 360.0),
)
def test_there_and_back(ra: float, dec: float, x: float, y: float, angle: float) -> None:
    there = from_plane(ra, dec, x, y, angle)
    back = to_plane((ra, dec), unit(*there), angle)
    assert (back[0][0], back[1][0]) == pytest.approx((x, y), abs=1e-6)


def test_what_lies_behind_has_no_place() -> None:
    x, y = to_plane((0.0, 0.0), unit(180.0, 0.0), 0.0)
    assert np.isnan(x[0])
    assert np.isnan(y[0])
