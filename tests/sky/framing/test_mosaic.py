"""How to turn the camera, and how many frames an object takes."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.sky.catalogue.objects import SkyObject, deep_sky
from logbook.sky.framing.mosaic import camera_angle, extent_deg, fill_words, mosaic

WIDE = (0.9, 0.6)


def thing(major: float | None, minor: float | None = None, angle: float | None = None) -> SkyObject:
    """An invented galaxy."""
    return SkyObject(
        id="X 1",
        kind="galaxy",
        name="X 1",
        constellation="And",
        ra_deg=10.0,
        dec_deg=41.0,
        major_arcmin=major,
        minor_arcmin=minor,
        position_angle_deg=angle,
        magnitude=None,
        magnitude_band=None,
        surface_brightness_mag_arcsec2=None,
        aliases=(),
    )


def at(object_id: str) -> SkyObject:
    catalogue = deep_sky()
    return catalogue.at(catalogue.index_of(object_id))


def test_a_long_galaxy_is_laid_along_the_long_side() -> None:
    # NGC 4565 lies at position angle 135 (OpenNGC), so up is a quarter turn from it.
    found = camera_angle(at("NGC 4565"), WIDE)
    assert found.angle_deg == pytest.approx(45.0)
    assert found.fits
    upright = camera_angle(at("NGC 4565"), (0.6, 0.9))
    assert upright.angle_deg == pytest.approx(135.0)


def test_one_that_only_just_fits_says_which_way() -> None:
    found = camera_angle(thing(50.0, 20.0, 30.0), WIDE)
    assert found.angle_deg == pytest.approx(120.0)
    assert found.fits
    assert "only along the long side" in found.words
    across = extent_deg(thing(50.0, 20.0, 30.0), 30.0)
    assert across[1] > WIDE[1]


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (thing(None), "Size unknown"),
        (thing(3.0), "Position angle unknown"),
        (thing(3.0, 1.0), "Position angle unknown"),
        (thing(3.0, 3.0), "Any angle will do"),
        (thing(90.0, 90.0), "does not fit in one frame"),
    ],
)
def test_what_is_not_known_is_said(one: SkyObject, words: str) -> None:
    found = camera_angle(one, WIDE)
    assert words in found.words
    assert found.angle_deg is None


def test_too_small_is_said_plainly() -> None:
    assert fill_words(1.08, WIDE) == "fills 3 % of the short side"
    assert fill_words(0.1, WIDE) == "fills 0.3 % of the short side"
    assert fill_words(90.0, WIDE) == "2.5 × the short side"
    assert fill_words(None, WIDE) == "size unknown"


def test_andromeda_takes_the_frames_one_counts_by_hand() -> None:
    # 177.8' x 69.7' (OpenNGC) in 0.9 x 0.6 degrees with a fifth over: 2.963 = 0.9 + n 0.72 gives
    # 4 across, 1.161 = 0.6 + n 0.48 gives 3 down.
    found = mosaic(at("NGC 224"), WIDE)
    assert (found.columns, found.rows) == (4, 3)
    assert len(found.panels) == 12
    assert found.angle_deg == pytest.approx(125.0)


def test_each_frame_is_beside_the_one_before() -> None:
    panels = mosaic(at("NGC 224"), WIDE).panels
    assert [panel.number for panel in panels] == list(range(1, 13))
    for before, after in pairwise(panels):
        assert abs(before.column - after.column) + abs(before.row - after.row) == 1


def test_frames_lie_around_the_object_in_the_sky() -> None:
    galaxy = at("NGC 224")
    panels = mosaic(galaxy, WIDE).panels
    for panel in panels:
        east = (panel.ra_deg - galaxy.ra_deg) * math.cos(math.radians(galaxy.dec_deg))
        north = panel.dec_deg - galaxy.dec_deg
        apart = math.hypot(panel.x_deg, panel.y_deg)
        assert math.hypot(east, north) == pytest.approx(apart, rel=0.03, abs=0.01)
        assert (panel.row == 1) == (panel.y_deg > 0.1)  # the first of three rows is on top
        assert (panel.column <= 2) == (panel.x_deg < 0.0)
        # Up has position angle 125, so what lies up lies south and east.
        up = east * math.sin(math.radians(125.0)) + north * math.cos(math.radians(125.0))
        assert up == pytest.approx(panel.y_deg, abs=0.05)


@given(
    major=st.floats(1.0, 300.0),
    part=st.floats(0.05, 1.0),
    angle=st.floats(0.0, 180.0),
    overlap=st.floats(0.0, 0.5),
)
def test_the_frames_cover_the_ellipse_and_lap_over(
    major: float, part: float, angle: float, overlap: float
) -> None:
    one = thing(major, major * part, angle)
    found = mosaic(one, WIDE, overlap=overlap)
    wide, high = extent_deg(one, found.angle_deg)
    covered = [
        side * (1.0 - overlap) * (count - 1) + side
        for side, count in zip(WIDE, (found.columns, found.rows), strict=True)
    ]
    assert covered[0] >= wide - 1e-6
    assert covered[1] >= high - 1e-6
    fewer = [cover - side * (1.0 - overlap) for cover, side in zip(covered, WIDE, strict=True)]
    assert found.columns == 1 or fewer[0] < wide
    assert found.rows == 1 or fewer[1] < high


def test_an_extent_is_that_of_the_turned_ellipse() -> None:
    # An ellipse of axes 2 and 1 turned by 45 degrees is sqrt((4 + 1) / 2) wide and high.
    wide, high = extent_deg(thing(120.0, 60.0, 45.0), 0.0)
    assert (wide, high) == pytest.approx((math.sqrt(2.5),) * 2)
    assert extent_deg(thing(120.0, 60.0, 0.0), 0.0) == pytest.approx((1.0, 2.0))


def test_what_cannot_be_is_refused_with_words() -> None:
    with pytest.raises(BadInput, match="0 to 80"):
        mosaic(thing(10.0), WIDE, overlap=0.9)
    with pytest.raises(BadInput, match="wider field"):
        mosaic(thing(600.0), (0.05, 0.05))


def test_one_frame_at_the_pole() -> None:
    found = mosaic(replace(thing(10.0), dec_deg=89.99), WIDE)
    assert len(found.panels) == 1
    assert found.panels[0].dec_deg == pytest.approx(89.99)
