"""The light in a sensor's corners, against rays counted one by one."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.kit.optics.illumination import Opening, fully_lit_mm, illumination, lit_fraction
from logbook.kit.parts.part import Train
from logbook.kit.train.light_cone import Gaps, lenses
from logbook.kit.train.openings import openings, pupil_mm
from tests.kit.made import CAMERA, FOCUSER, REDUCER, TUBE, part, ring


def counted(opening: Opening, off_mm: float, obstruction: float) -> float:
    """Rays from a point of the sensor to a fine grid over the exit pupil, those that pass."""
    rings, spokes = 160, 240
    pupil_radius = opening.pupil_mm / opening.ratio / 2.0
    passed = total = 0.0
    for place in range(rings):
        radius = (place + 0.5) / rings
        if radius < obstruction:
            continue
        for spoke in range(spokes):
            angle = 2.0 * math.pi * (spoke + 0.5) / spokes
            x, y = (pupil_radius * radius * each(angle) for each in (math.cos, math.sin))
            share = opening.before_focus_mm / opening.pupil_mm
            at = (off_mm + (x - off_mm) * share, y * share)
            total += radius
            passed += radius * (math.hypot(*at) <= opening.clear_aperture_mm / 2.0)
    return passed / total


def test_the_fully_lit_circle() -> None:
    """A 46, L 100, N 8: 37.22 mm with the exit pupil 1000 mm away, 33.5 mm with it far away
    (similar triangles, any optics text); the marginal ray at the edge passes at 46.000 mm."""
    near = Opening("x", 46.0, 100.0, 8.0, pupil_mm=1000.0)
    assert fully_lit_mm(near) == pytest.approx(37.22, abs=5e-3)
    assert fully_lit_mm(Opening("x", 46.0, 100.0, 8.0)) == pytest.approx(33.5)
    edge_mm = fully_lit_mm(near) / 2.0
    ray_mm = edge_mm + (1000.0 / 16.0 - edge_mm) * 100.0 / 1000.0
    assert 2.0 * ray_mm == pytest.approx(46.0)


@pytest.mark.parametrize("obstruction", [0.0, 0.4])
@pytest.mark.parametrize("off_mm", [0.0, 12.0, 16.0, 20.0, 26.0])
def test_a_point_gets_the_share_of_rays_that_pass(off_mm: float, obstruction: float) -> None:
    opening = Opening("x", 36.0, 160.0, 8.0, pupil_mm=800.0)
    expected = counted(opening, off_mm, obstruction)
    assert lit_fraction(opening, off_mm, obstruction) == pytest.approx(expected, abs=6e-3)


def test_no_light_at_all_past_the_outer_circle() -> None:
    """(A + L/N)/(1 - L/P): nothing reaches points farther out."""
    opening = Opening("x", 46.0, 100.0, 8.0, pupil_mm=1000.0)
    edge_mm = (46.0 + 100.0 / 8.0) / (1 - 0.1) / 2.0
    assert lit_fraction(opening, edge_mm + 0.01) == 0.0
    assert lit_fraction(opening, edge_mm - 0.5) > 0.0


@given(
    st.floats(5.0, 100.0), st.floats(1.0, 400.0), st.floats(3.0, 20.0), st.floats(0.0, 0.6),
    st.floats(0.1, 60.0),
)  # fmt: skip
def test_light_falls_off_from_the_middle(
    clear: float, before: float, ratio: float, obstruction: float, off: float
) -> None:
    opening = Opening("x", clear, before, ratio)
    assert lit_fraction(opening, off) <= lit_fraction(opening, 0.0) + 1e-9
    edge = lit_fraction(opening, off, obstruction)
    assert 0.0 <= edge <= 1.0
    if off < fully_lit_mm(opening) / 2.0:
        assert edge == pytest.approx(1.0)


def test_the_opening_that_cuts_most_is_named() -> None:
    wide, narrow = Opening("Wide", 60.0, 150.0, 8.0), Opening("Narrow", 30.0, 60.0, 8.0)
    found = illumination((wide, narrow), 28.3)
    assert found is not None
    assert found.part == "Narrow"
    assert found.fully_lit_mm == pytest.approx(22.5)
    assert "% of the corners' light" in found.words
    whole = illumination((wide,), 28.3)
    assert whole is not None
    assert whole.words == "Wide lights the whole sensor"
    assert illumination((), 28.3) is None


# In a train


def test_openings_are_counted_to_the_focus_from_their_sky_side() -> None:
    train = Train("native", "camera", (TUBE, FOCUSER, ring(40), CAMERA))
    found = {each.part: each for each in openings(train, 8.0, ())}
    assert found["Focuser"].before_focus_mm == pytest.approx(137.5)
    assert found["Ring 40"].before_focus_mm == pytest.approx(57.5)
    assert found["Ring 40"].pupil_mm == pytest.approx(pupil_mm(TUBE))
    assert pupil_mm(TUBE) == pytest.approx(804.4, abs=0.1)


def test_what_stands_before_a_reducer_is_counted_in_the_telescopes_own_bundle() -> None:
    """f 300 at 85 mm: the focus would be 118.605 mm behind the lens, so the focuser's sky side is
    80 + 20 + 118.605 before it; behind the lens the bundle is f/5.733."""
    train = Train("reduced", "camera", (TUBE, FOCUSER, REDUCER, ring(67.5), CAMERA))
    found = {each.part: each for each in openings(train, 8.0, lenses(train, Gaps()))}
    assert found["Focuser"].before_focus_mm == pytest.approx(218.605, abs=1e-3)
    assert found["Focuser"].ratio == 8.0
    assert found["Focuser"].magnifies == pytest.approx(0.71667, abs=5e-6)
    assert found["Reducer"].before_focus_mm == pytest.approx(85.0)
    assert found["Reducer"].ratio == pytest.approx(5.733, abs=5e-4)
    assert found["Ring 67.5"].before_focus_mm == pytest.approx(85.0)


def test_the_bundle_is_as_wide_at_the_lens_seen_from_either_side() -> None:
    """At the lens itself both ways of counting must give one beam and one slanting ray."""
    train = Train("reduced", "camera", (TUBE, FOCUSER, REDUCER, ring(67.5), CAMERA))
    lens = lenses(train, Gaps())[0]
    behind = next(each for each in openings(train, 8.0, (lens,)) if each.part == "Reducer")
    native_mm = lens.to_native_focus_mm
    assert native_mm is not None
    before = Opening("Reducer", 46.0, native_mm, 8.0, lens.factor, pupil_mm(TUBE))
    assert behind.before_focus_mm / behind.ratio == pytest.approx(native_mm / 8.0)
    assert behind.narrows == pytest.approx(before.narrows / lens.factor)
    for off_mm in (5.0, 14.0, 20.0, 30.0):
        one, other = lit_fraction(behind, off_mm, 0.3), lit_fraction(before, off_mm, 0.3)
        assert one == pytest.approx(other, abs=1e-9)


def test_of_an_unknown_length_nothing_is_said() -> None:
    bare = part("Bare", "adapter", clear_aperture_mm=40)
    train = Train("native", "camera", (TUBE, FOCUSER, bare, ring(40), CAMERA))
    assert [each.part for each in openings(train, 8.0, ())] == ["Ring 40"]
    assert openings(Train("eye", "visual", (TUBE, FOCUSER)), 8.0, ()) == ()


def test_a_lens_is_its_own_pupil() -> None:
    small = part("Small", "telescope", aperture_mm=80, focal_length_mm=480, mirror_count=0)
    assert pupil_mm(small) == 480.0
    assert pupil_mm(part("Bare", "telescope", focal_length_mm=480)) == math.inf
