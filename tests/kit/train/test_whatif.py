"""Every number before and after a change, and two trains side by side. Nothing is saved."""

from dataclasses import replace

import pytest

from logbook.errors import BadInput
from logbook.kit.parts.part import MEASURED, Placement, Train
from logbook.kit.train import whatif
from logbook.kit.train.rows import FOCUS, LIGHT, PICTURE
from logbook.kit.train.sheet import sheet
from tests.kit.made import CAMERA, FOCUSER, REDUCER, TUBE, part, ring

NATIVE = Train("native", "camera", (TUBE, FOCUSER, ring(40), CAMERA))


def pairs(changed: Train) -> dict[tuple[str, str], tuple[str, str]]:
    return {
        (each.section, each.label): (each.one, each.other)
        for each in whatif.whatif(NATIVE, changed)
        if each.differs
    }


def test_a_reducer_in_changes_the_light_and_the_picture() -> None:
    """1624 mm at 1 - 57.5/300 = 0.80833: 1312.7 mm, f/6.47."""
    found = pairs(whatif.inserted(NATIVE, REDUCER, "Focuser"))
    assert found[LIGHT, "focal length"] == ("1624 mm", "1313 mm")
    assert found[LIGHT, "focal ratio"] == ("f/8.00", "f/6.47")
    assert found[PICTURE, "image scale"] == ("0.478″/px", "0.591″/px")
    assert (LIGHT, "aperture") not in found
    assert found[FOCUS, "wanted"] == ("160.0 mm", "85.0 mm")


def test_a_ring_out_is_missing_in_the_ladder() -> None:
    found = pairs(whatif.without(NATIVE, "Ring 40"))
    assert found[FOCUS, "+ Ring 40"] == ("40.0 mm", "")
    assert found[FOCUS, "reached"] == ("137.5 mm", "97.5 mm")


def test_another_camera() -> None:
    coarse = replace(CAMERA.with_number("pixel_um", 9.0), name="Coarse")
    changed = whatif.replaced(NATIVE, "Night camera", coarse)
    assert [each.name for each in changed.parts][-1] == "Coarse"
    assert pairs(changed)[PICTURE, "image scale"] == ("0.478″/px", "1.143″/px")


def test_a_value_tried_out_counts_as_a_measured_one_would() -> None:
    stated_and_measured = TUBE.with_number("focal_length_mm", 1631.0, basis=MEASURED)
    train = whatif.replaced(NATIVE, "Long tube", stated_and_measured)
    changed = whatif.valued(train, "Long tube", "focal_length_mm", 2000.0)
    assert sheet(changed).effective_focal_length_mm == 2000.0
    assert changed.parts[0].value("focal_length_mm") != train.parts[0].value("focal_length_mm")


def test_the_focuser_drawn_out_and_a_part_moved_along_the_tube() -> None:
    changed = whatif.placed(NATIVE, Placement("Focuser", setting_mm=22.5))
    assert pairs(changed)[FOCUS, "reached"] == ("137.5 mm", "160.0 mm")
    again = whatif.placed(changed, Placement("Focuser", setting_mm=10.0))
    assert len(again.placements) == 1
    guide = part("Guide", "guide telescope", mass_kg=2)
    carried = whatif.placed(whatif.carrying(NATIVE, guide), Placement("Guide", along_tube_mm=500.0))
    before, after = sheet(NATIVE).balance, sheet(carried).balance
    assert before is not None
    assert after is not None
    assert after.centre_mm > before.centre_mm


def test_the_train_itself_is_never_changed() -> None:
    before = replace(NATIVE)
    whatif.valued(NATIVE, "Long tube", "aperture_mm", 100.0)
    whatif.without(NATIVE, "Ring 40")
    whatif.inserted(NATIVE, REDUCER)
    assert before == NATIVE


def test_a_part_goes_before_the_camera_if_nothing_else_is_said() -> None:
    names = [each.name for each in whatif.inserted(NATIVE, ring(5)).parts]
    assert names == ["Long tube", "Focuser", "Ring 40", "Ring 5", "Night camera"]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda: whatif.without(NATIVE, "Nothing"), "holds no Nothing: it holds Long tube"),
        (lambda: whatif.inserted(NATIVE, ring(40)), "is in native already"),
        (lambda: whatif.inserted(NATIVE, ring(5), "Nowhere"), "holds no Nowhere"),
        (lambda: whatif.replaced(NATIVE, "Ring 40", FOCUSER), "is in native already"),
        (lambda: whatif.carrying(NATIVE, FOCUSER), "is in native already"),
        (lambda: whatif.valued(NATIVE, "Ring 40", "pixel_um", 3.0), "has no number pixel"),
        (lambda: whatif.valued(NATIVE, "Ring 40", "sky_side_thread", 3.0), "has no number sky"),
        (lambda: whatif.valued(NATIVE, "Night camera", "pixel_um", 0.0), "pixel 0 is not possible"),
        (lambda: whatif.valued(NATIVE, "Ring 40", "optical_length_mm", -1.0), "not possible"),
        (lambda: whatif.placed(NATIVE, Placement("Nowhere")), "holds no Nowhere"),
    ],
)
def test_what_cannot_be_is_refused_with_words(change: object, words: str) -> None:
    assert callable(change)
    with pytest.raises(BadInput, match=words):
        change()
