"""The sheet of a train: measured values count, and what is not known is named."""

from dataclasses import replace
from typing import NoReturn

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import MEASURED, STATED, Part, Placement, Train, Value
from logbook.kit.train.light import TrainLight, light_of
from logbook.kit.train.rows import rows, side_by_side
from logbook.kit.train.sheet import sheet
from logbook.screen.services.instrument import instrument_of
from logbook.sky.framing.field_of_view import view_of


def part(name: str, kind: str, /, **numbers: float) -> Part:
    values = tuple(Value(quantity, STATED, number) for quantity, number in numbers.items())
    return Part(name, kind, values)


TUBE = part(
    "Long tube", "telescope", aperture_mm=203.0, focal_length_mm=1624.0, obstruction_mm=67.0,
    back_focus_mm=160.0, mirror_count=2.0, mass_kg=9.4,
)  # fmt: skip
CAMERA = part(
    "Night camera", "camera", pixel_um=3.76, width_px=6248.0, height_px=4176.0,
    flange_distance_mm=17.5, mass_kg=0.62,
)  # fmt: skip
FOCUSER = part("Focuser", "focuser", optical_length_mm=80.0, mass_kg=0.9)
RING = part("Ring 40", "extension ring", optical_length_mm=40.0, mass_kg=0.09)
REDUCER = part(
    "Reducer", "reducer", factor=0.72, lens_focal_length_mm=300.0, design_spacing_mm=85.0,
    optical_length_mm=20.0, mass_kg=0.3,
)  # fmt: skip
NATIVE = Train("native", "camera", (TUBE, FOCUSER, RING, CAMERA))


def test_native_train_against_worked_values() -> None:
    """Image scale and exact field by arithmetic: 6248 px of 3.76 µm are 23.492 mm."""
    made = sheet(NATIVE)
    assert made.effective_focal_length_mm == 1624.0
    assert made.focal_ratio == pytest.approx(8.0)
    assert made.image_scale_arcsec_px == pytest.approx(0.47756, abs=5e-6)
    assert made.field_deg == pytest.approx((0.82881, 0.55397), abs=1e-5)
    assert made.obstruction_by_diameter == pytest.approx(0.33005, abs=1e-5)
    assert made.light_loss_fraction == pytest.approx(0.1089, abs=1e-4)
    assert made.missing == ()
    assert made.mirrored is False


def test_measured_wins_and_both_are_shown() -> None:
    measured = TUBE.with_number(
        "focal_length_mm", 1631.0, basis=MEASURED, how="plate", on="2026-04-02"
    )
    made = sheet(replace(NATIVE, parts=(measured, *NATIVE.parts[1:])))
    assert made.effective_focal_length_mm == 1631.0
    line = next(each for each in made.parts[0].values if each.label == "focal length")
    assert (line.stated, line.measured, line.difference) == (1624.0, 1631.0, 7.0)
    assert (line.counts, line.how, line.measured_on) == (1631.0, "plate", "2026-04-02")


def test_mass_is_what_the_mount_carries() -> None:
    mount = part("Mount", "mount", payload_kg=18.0, mass_kg=12.0)
    weight = part("Weight", "counterweight", mass_kg=5.0)
    rail = part("Rail", "dovetail", mass_kg=0.8)
    made = sheet(replace(NATIVE, carried=(mount, weight, rail)))
    assert made.mass_kg == pytest.approx(9.4 + 0.9 + 0.09 + 0.62 + 0.8)
    assert made.payload_kg == 18.0


def test_back_focus_from_the_telescope() -> None:
    made = sheet(NATIVE)
    assert made.back_focus is not None
    assert made.back_focus.reached_mm == pytest.approx(80.0 + 40.0 + 17.5)
    assert made.back_focus.off_mm == pytest.approx(137.5 - 160.0)


def test_filter_glass_is_taken_off_the_length() -> None:
    """t (1 - 1/n): 3 mm of index 1.517 put the focus back by 1.0224 mm."""
    glass = part("Ha 3 mm", "filter", thickness_mm=3.0, refractive_index=1.517)
    made = sheet(replace(NATIVE, parts=(TUBE, FOCUSER, RING, glass, CAMERA)))
    assert made.back_focus is not None
    assert made.back_focus.reached_mm == pytest.approx(137.5 - 1.0224, abs=1e-4)


def test_reducer_at_its_real_spacing() -> None:
    """f 300 mm at 85 mm gives 0.71667 and 1163.87 mm; at 57.5 mm it would be 0.80833."""
    right = part("Ring 67.5", "extension ring", optical_length_mm=67.5)
    made = sheet(Train("reduced", "camera", (TUBE, FOCUSER, REDUCER, right, CAMERA)))
    assert made.factor == pytest.approx(0.71667, abs=5e-6)
    assert made.effective_focal_length_mm == pytest.approx(1163.87, abs=5e-3)
    assert made.focal_ratio == pytest.approx(5.733, abs=5e-4)
    assert made.back_focus is not None
    assert made.back_focus.off_mm == pytest.approx(0.0)
    wrong = sheet(Train("too near", "camera", (TUBE, FOCUSER, REDUCER, RING, CAMERA)))
    assert wrong.factor == pytest.approx(1 - 57.5 / 300.0)
    assert "57.5 mm" in wrong.notes[0]


def test_reducer_of_unknown_lens_is_taken_as_stated() -> None:
    bare = part("Reducer", "reducer", factor=0.72)
    made = sheet(Train("reduced", "camera", (TUBE, bare, RING, CAMERA)))
    assert made.factor == 0.72
    assert "0.72×" in made.notes[0]


def test_barlow_lengthens() -> None:
    barlow = part("Barlow", "barlow", factor=2.0, optical_length_mm=60.0)
    made = sheet(Train("planets", "camera", (TUBE, barlow, CAMERA)))
    assert made.effective_focal_length_mm == 3248.0


def test_visual_train_prefers_the_field_stop() -> None:
    """27.4 mm of field stop at 1624 mm: 0.96667° (2 atan(w/2f)); 64.96 times; 3.125 mm."""
    diagonal = part("Diagonal", "diagonal", mirror_count=1.0)
    eyepiece = part(
        "Eyepiece 25", "eyepiece", focal_length_mm=25.0, field_stop_mm=27.4, apparent_field_deg=68.0
    )
    made = sheet(Train("visual", "visual", (TUBE, diagonal, eyepiece)))
    assert made.magnification == pytest.approx(64.96)
    assert made.exit_pupil_mm == pytest.approx(3.125)
    assert made.field_deg == pytest.approx((0.96667, 0.96667), abs=1e-5)
    assert made.mirrored is True
    assert made.sensor is None


def test_visual_train_falls_back_to_the_apparent_field_and_says_so() -> None:
    eyepiece = part("Eyepiece 25", "eyepiece", focal_length_mm=25.0, apparent_field_deg=68.0)
    made = sheet(Train("visual", "visual", (TUBE, eyepiece)))
    assert made.field_deg == pytest.approx((1.0468, 1.0468), abs=1e-4)
    assert any("10 %" in note for note in made.notes)


def test_a_refractor_has_no_obstruction() -> None:
    small = part("Small", "telescope", aperture_mm=80.0, focal_length_mm=480.0, mirror_count=0.0)
    assert sheet(Train("wide", "camera", (small, CAMERA))).obstruction_by_diameter == 0.0


def test_what_is_not_known_is_said_in_words() -> None:
    bare = part("Tube", "telescope", aperture_mm=203.0)
    made = sheet(Train("new", "camera", (bare, part("Camera", "camera", pixel_um=3.76))))
    assert made.effective_focal_length_mm is None
    assert made.image_scale_arcsec_px is None
    assert made.field_deg is None
    assert made.mass_kg is None
    for words in ("the focal length of Tube", "the sensor width of Camera", "the mass of Tube",
                  "the secondary housing of Tube"):  # fmt: skip
        assert words in made.missing


def test_an_empty_train_wants_a_telescope_and_a_camera() -> None:
    made = sheet(Train("empty", "camera"))
    assert made.missing == ("a telescope", "a camera")
    assert made.back_focus is None
    assert sheet(Train("empty", "visual")).missing == ("a telescope", "an eyepiece")


THREADS = st.sampled_from(["M54x0.75 male", "M54x0.75 female", "M42x1", "none", "what?"])


@st.composite
def any_part(draw: st.DrawFn) -> Part:
    """A part of any kind with any of its quantities, possible or not."""
    kind = KINDS[draw(st.sampled_from(sorted(KINDS)))]
    chosen = draw(st.lists(st.sampled_from(kind.quantities), unique=True, max_size=12))
    values = tuple(
        Value(each.name, STATED, word=draw(THREADS | st.sampled_from(each.choices or ("", "x"))))
        if each.is_text
        else Value(each.name, STATED, draw(st.floats(-10.0, 1.1 * min(each.high, 5000.0))))
        for each in chosen
    )
    return Part(f"{kind.name} {draw(st.integers(1, 9))}", kind.name, values)


@st.composite
def any_train(draw: st.DrawFn) -> Train:
    parts = st.lists(any_part(), max_size=7)
    light_path, carried = tuple(draw(parts)), tuple(draw(parts))
    placements = tuple(
        Placement(each.name, draw(st.floats(0.0, 50.0)), draw(st.floats(-500.0, 2000.0)))
        for each in (*light_path, *carried)
        if draw(st.booleans())
    )
    return Train(
        "any", draw(st.sampled_from(["camera", "visual"])), light_path, carried, placements
    )


@settings(max_examples=100, suppress_health_check=[HealthCheck.too_slow])
@given(any_train(), st.lists(any_part(), max_size=5))
def test_any_train_has_a_sheet_with_rows(train: Train, shelf: list[Part]) -> None:
    made = sheet(train, shelf=shelf)
    assert len(made.parts) == len(train.parts) + len(train.carried)
    if made.focal_ratio is not None:
        assert made.focal_ratio > 0
    if made.field_deg is not None:
        assert min(made.field_deg) > 0
    if made.illumination is not None:
        assert 0.0 <= made.illumination.corner_fraction <= 1.0
    assert all(row.shown or row.remark for row in rows(made))
    assert not any(row.shown.startswith(("nan", "inf")) for row in rows(made))
    assert not any(pair.differs for pair in side_by_side(made, made))


def test_whoever_needs_an_aperture_and_a_field_asks_for_no_sheet(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of the sheet's parts none is calculated, and the light of a train once."""
    chip = part("Chip", "camera", pixel_um=4.0, width_px=6000.0, height_px=4000.0)
    tube = part("Tube", "telescope", aperture_mm=200.0, focal_length_mm=1600.0)
    train = Train("Long", "camera", (tube, chip))
    asked: list[str] = []

    def counting(train: Train) -> TrainLight:
        asked.append(train.name)
        return light_of(train)

    def refused(*_: object) -> NoReturn:
        raise AssertionError("the whole sheet was calculated")

    monkeypatch.setattr("logbook.kit.train.sheet.sheet", refused)
    monkeypatch.setattr("logbook.kit.train.sheet.balance", refused)
    monkeypatch.setattr("logbook.screen.services.instrument.light_of", counting)
    monkeypatch.setattr("logbook.sky.framing.field_of_view.light_of", counting)
    instrument = instrument_of(train)
    assert asked == ["Long"]
    assert instrument.aperture_mm == 200
    assert instrument.field is not None
    # 24 × 16 mm at 1600 mm: 2 atan(12/1600) and 2 atan(8/1600), by a pocket calculator.
    assert instrument.field.field_deg == pytest.approx((0.85942, 0.57295), abs=1e-5)
    assert view_of(train) == instrument.field
    assert asked == ["Long", "Long"]
