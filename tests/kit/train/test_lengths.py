"""The ladder of lengths: sum of mechanical lengths less what glass takes off (any optics text)."""

from dataclasses import replace

import pytest

from logbook.kit.parts.part import Placement, Train
from logbook.kit.train.lengths import BackFocus, back_focus, rungs
from tests.kit.made import CAMERA, FOCUSER, REDUCER, TUBE, part, ring

GLASS = part("Ha", "filter", thickness_mm=3, refractive_index=1.517)
BARLOW = part("Barlow", "barlow", factor=2, optical_length_mm=60)


def ladder_of(train: Train) -> BackFocus:
    found = back_focus(train)
    assert found is not None
    return found


def test_rungs_add_up_with_glass_taken_off() -> None:
    """80 + 40 - 1.0224 (3 mm of index 1.517) + 17.5 mm."""
    found = ladder_of(Train("a", "camera", (TUBE, FOCUSER, ring(40), GLASS, CAMERA)))
    assert [rung.name for rung in found.rungs] == ["Focuser", "Ring 40", "Ha", "Night camera"]
    totals = [rung.total_mm for rung in found.rungs]
    assert totals == pytest.approx([80.0, 120.0, 118.9776, 136.4776], abs=1e-4)
    assert found.reached_mm == totals[-1]
    assert found.off_mm == pytest.approx(-23.5224, abs=1e-4)
    assert found.words == "23.5 mm missing"


def test_a_focuser_counts_as_far_as_it_is_drawn_out() -> None:
    train = Train("a", "camera", (TUBE, FOCUSER, ring(40), CAMERA))
    drawn = replace(train, placements=(Placement("Focuser", setting_mm=22.5),))
    assert ladder_of(drawn).words == "reached"
    farther = replace(train, placements=(Placement("Focuser", setting_mm=30.0),))
    assert ladder_of(farther).words == "7.5 mm too long"


def test_from_an_unknown_length_on_no_total_is_said() -> None:
    found = ladder_of(Train("a", "camera", (TUBE, FOCUSER, part("W", "adapter"), ring(5), CAMERA)))
    assert [rung.total_mm for rung in found.rungs] == [80.0, None, None, None]
    assert found.reached_mm is None
    assert "not known" in found.words


def test_the_last_corrector_that_asks_is_counted_from() -> None:
    found = ladder_of(Train("a", "camera", (TUBE, FOCUSER, REDUCER, ring(60), CAMERA)))
    assert (found.counted_from, found.wanted_mm, found.reached_mm) == ("Reducer", 85.0, 77.5)


def test_the_telescopes_back_focus_does_not_reach_through_a_lens() -> None:
    """A Barlow lens puts the focus farther out: how far, `reach` says."""
    found = ladder_of(Train("a", "camera", (TUBE, FOCUSER, BARLOW, CAMERA)))
    assert (found.counted_from, found.wanted_mm, found.reached_mm) == ("Barlow", None, 17.5)
    assert found.words == ""


def test_to_an_eyepiece_it_is_counted_to_the_shoulder() -> None:
    eyepiece = part("Low", "eyepiece", focal_length_mm=25)
    found = ladder_of(Train("a", "visual", (TUBE, FOCUSER, ring(40), eyepiece)))
    assert found.reached_mm == 120.0


def test_without_a_telescope_there_is_no_ladder() -> None:
    assert back_focus(Train("a", "camera", (CAMERA,))) is None
    assert back_focus(Train("a", "camera", (TUBE,))) is None
    assert rungs(Train("a", "camera", (TUBE, CAMERA)), 1) == ()
