"""Stated beside measured, and the kinds that may hold them."""

import pytest

from logbook.kit.parts.check import check_part, check_train
from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import MEASURED, STATED, Part, Placement, Train, Value
from logbook.kit.parts.typed_values import read_value
from logbook.kit.parts.values import difference_words, value_lines
from tests.kit.made import CAMERA, FOCUSER, TUBE, part, ring


def test_the_difference_as_number_and_percent() -> None:
    """9.05 kg measured where 9.4 kg were stated: -0.35 kg, -3.7 %; arithmetic."""
    tube = TUBE.with_number("mass_kg", 9.05, basis=MEASURED, how="scale", on="2026-03-01")
    line = next(each for each in value_lines(tube) if each.quantity == "mass_kg")
    assert line.difference == pytest.approx(-0.35)
    assert line.percent == pytest.approx(-3.723, abs=5e-4)
    assert line.counts == 9.05
    assert difference_words(line) == "−0.35 kg (−3.7 %)"


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ((Value("mass_kg", STATED, 1.0), Value("mass_kg", MEASURED, 1.0)), ""),
        ((Value("mass_kg", STATED, 1.0),), ""),
        ((Value("mass_kg", MEASURED, 1.0),), ""),
        ((Value("mass_kg", STATED, 0.0), Value("mass_kg", MEASURED, 0.5)), "+0.5 kg"),
        (
            (
                Value("eye_side_thread", STATED, word="M42x1 male"),
                Value("eye_side_thread", MEASURED, word="M42x0.75 male"),
            ),
            "differs",
        ),
    ],
)
def test_difference_in_words(values: tuple[Value, ...], words: str) -> None:
    line = value_lines(Part("Ring", "adapter", values))[0]
    assert difference_words(line) == words


def test_a_value_set_keeps_the_other_basis() -> None:
    both = TUBE.with_number("mass_kg", 9.0, basis=MEASURED)
    assert both.number("mass_kg") == 9.0
    assert both.without("mass_kg", MEASURED).number("mass_kg") == 9.4
    assert both.with_number("mass_kg", 9.5).number("mass_kg") == 9.0, "the measured one counts"


def test_a_number_that_cannot_be_counts_as_not_known() -> None:
    assert part("C", "camera", pixel_um=0).possible("pixel_um") is None
    assert part("C", "gizmo", pixel_um=3).possible("pixel_um") is None
    assert CAMERA.possible("pixel_um") == 3.76


def test_where_nothing_was_said_a_part_is_set_nowhere() -> None:
    train = Train("a", "camera", (TUBE, FOCUSER), placements=(Placement("Focuser", 12.0),))
    assert train.placement("Focuser").setting_mm == 12.0
    assert train.placement("Long tube") == Placement("Long tube")


def test_threads_are_shown_back_in_their_usual_spelling() -> None:
    thread = KINDS["adapter"].quantity("sky_side_thread")
    assert thread is not None
    read = read_value(thread, "m54 × 0,75 outside")
    assert read.word == "M54x0.75 male"
    assert read.shown == "M54x0.75 male (m54 × 0,75 outside)"


def test_known_words_are_completed_and_others_kept() -> None:
    material = KINDS["telescope"].quantity("tube_material")
    assert material is not None
    assert read_value(material, "carb").word == "carbon fibre"
    assert read_value(material, "steel").word == "steel"
    assert read_value(material, "s").word == "s", "steel or stainless: not guessed"
    assert read_value(material, "cardboard").word == "cardboard"


@pytest.mark.parametrize(
    ("kind", "values", "field"),
    [
        ("small hardware", {"shaft_length_mm": 8.0, "overall_length_mm": 6.0}, "shaft_length_mm"),
        ("reducer", {"design_spacing_mm": 90.0, "lens_focal_length_mm": 80.0},
         "design_spacing_mm"),
        ("telescope", {"mirror_spacing_mm": 700.0, "primary_focal_length_mm": 609.0},
         "mirror_spacing_mm"),
    ],
)  # fmt: skip
def test_lengths_that_cannot_be_together(kind: str, values: dict[str, float], field: str) -> None:
    faults = check_part(part("Part", kind, **values))
    assert [fault.field for fault in faults] == [field]


def test_a_measured_length_may_be_under_another_that_was_stated() -> None:
    screw = part("Screw", "small hardware", shaft_length_mm=6, overall_length_mm=6)
    assert check_part(screw.with_number("overall_length_mm", 5.9, basis=MEASURED)) == ()


def test_an_order_that_cannot_be_meant_is_said() -> None:
    odd = Train("odd", "camera", (FOCUSER, TUBE, CAMERA, ring(10), TUBE))
    words = " / ".join(check_train(odd))
    assert "2 telescopes" in words
    assert "Focuser stands before the telescope" in words
    assert "stands behind the camera" in words
    wished = Part("Dream", "dew shield", state="wished for")
    assert check_train(Train("a", "camera", (TUBE, CAMERA), (wished,))) == ("Dream is wished for",)
    assert check_train(Train("a", "camera", (TUBE, FOCUSER, CAMERA))) == ()
