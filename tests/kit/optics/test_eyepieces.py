"""What eyepieces show: worked numbers, and warnings that are common practice, no source."""

from dataclasses import replace

import pytest

from logbook.kit.optics.eyepieces import eyepiece, eyepieces, pupil_warning
from logbook.kit.parts.part import Train
from logbook.kit.train.sheet import sheet
from tests.kit.made import FOCUSER, TUBE, part

LOW = part("Low", "eyepiece", focal_length_mm=25, field_stop_mm=27.4, apparent_field_deg=68)
HIGH = part("High", "eyepiece", focal_length_mm=5, apparent_field_deg=60)


def test_worked_eyepiece() -> None:
    """1624/25 = 64.96 times, 25/8 = 3.125 mm, 2 atan(27.4/2·1624) = 0.96667°."""
    found = eyepiece(LOW, 1624.0, 8.0)
    assert found is not None
    assert found.magnification == pytest.approx(64.96)
    assert found.exit_pupil_mm == pytest.approx(3.125)
    assert found.true_field_deg == pytest.approx(0.96667, abs=5e-6)
    assert found.from_stop
    assert found.warning == ""


def test_without_a_field_stop_the_apparent_field_is_good_to_ten_percent() -> None:
    found = eyepiece(HIGH, 1624.0, 8.0)
    assert found is not None
    assert found.true_field_deg == pytest.approx(60 / 324.8)
    assert not found.from_stop


def test_pupils_no_eye_can_use() -> None:
    assert "7.5 mm" in pupil_warning(7.5)
    assert "dim" in pupil_warning(0.49)
    assert pupil_warning(7.0) == pupil_warning(0.5) == ""


def test_lowest_magnification_first_and_unknown_ones_left_out() -> None:
    bare = part("Bare", "eyepiece", apparent_field_deg=60)
    assert [each.name for each in eyepieces([HIGH, bare, LOW, FOCUSER], 1624.0, 8.0)] == [
        "Low",
        "High",
    ]


def test_a_visual_train_shows_every_owned_eyepiece() -> None:
    wished = replace(HIGH, name="Dream", state="wished for")
    train = Train("eye", "visual", (TUBE, FOCUSER, LOW))
    made = sheet(train, shelf=[LOW, HIGH, wished])
    assert [each.name for each in made.eyepieces] == ["Low", "High"]
    assert made.magnification == pytest.approx(64.96)
    camera = sheet(replace(train, kind="camera", parts=(TUBE, FOCUSER)), shelf=[LOW, HIGH])
    assert camera.eyepieces == ()
