"""Small hardware with its sizes: what is known, and what must be measured before ordering."""

import pytest

from logbook.kit.parts.part import STATED, Part, Value
from logbook.kit.parts.spares import priced, spare_of, spares, wishes
from tests.kit.made import part


def hardware(name: str, **values: float | str) -> Part:
    return part(name, "small hardware", **values)


def noted(name: str, note: str) -> Part:
    return Part(name, "small hardware", note=note)


def test_a_screw_is_told_with_thread_and_length() -> None:
    screw = hardware("Grub screw", thread="M3x0.5", shaft_length_mm=6.0, stock_count=2.0)
    found = spare_of(screw)
    assert found.what == "screw"
    assert found.sizes == ("thread M3x0.5", "shaft length 6 mm")
    assert (found.not_known, found.stock) == ((), 2)


@pytest.mark.parametrize(
    ("name", "values", "missing"),
    [
        ("Screw", {"thread": "M3x0.5"}, ("shaft length",)),
        ("Screw", {}, ("thread", "shaft length")),
        ("O-ring of the drawtube", {"inner_diameter_mm": 62.0}, ("thickness",)),
        ("Strip", {"hardware_type": "felt", "width_mm": 10.0}, ("overall length", "thickness")),
        ("Belt", {"overall_length_mm": 400.0, "width_mm": 6.0}, ()),
        ("Coin cell", {"hardware_type": "battery"}, ()),
        ("Whatnot", {}, ()),
    ],
)
def test_what_must_be_measured_before_ordering_is_said(
    name: str, values: dict[str, float | str], missing: tuple[str, ...]
) -> None:
    assert spare_of(hardware(name, **values)).not_known == missing


def test_a_measured_size_counts_before_a_stated_one() -> None:
    screw = hardware("Screw", shaft_length_mm=6.0)
    measured = screw.with_number("shaft_length_mm", 5.9, basis="measured")
    assert spare_of(measured).sizes == ("shaft length 5.9 mm",)


def test_a_size_that_only_the_note_says_is_said_to_stand_there() -> None:
    battery = noted("Finder battery", "Round cell, 3 V, 20 mm across.")
    assert spare_of(battery).sizes == ("as its note says",)
    assert spare_of(noted("Finder battery", "From the kiosk.")).sizes == ()


def test_the_note_of_another_part_tells_of_its_screws() -> None:
    clamp = Part("Clamp", "adapter", note="Black. Held by three M4 screws, 8 mm. Bought used.")
    (found,) = spares([clamp])
    assert (found.part_name, found.what) == ("Clamp", "screws")
    assert found.note == "Held by three M4 screws, 8 mm."
    assert not found.is_part
    assert spares([Part("Eyepiece", "eyepiece", note="For turning screws by night.")]) == ()


@pytest.mark.parametrize(
    ("pitch_mm", "size"),
    [(0.5, "M3"), (0.7, "M4"), (0.8, "M5"), (1.0, "M6"), (1.25, "M8")],
)
def test_the_pitch_of_the_outer_screws_names_the_coarse_thread(pitch_mm: float, size: str) -> None:
    """Source: ISO 261, coarse pitches of M3, M4, M5, M6 and M8."""
    tube = part("Tube", "telescope", screw_pitch_mm=pitch_mm)
    (found,) = spares([tube])
    assert f"coarse pitch of {size} (ISO 261)" in found.note
    assert found.not_known == ("thread diameter", "length")


def test_a_pitch_of_no_coarse_thread_names_none() -> None:
    (found,) = spares([part("Tube", "telescope", screw_pitch_mm=0.635)])
    assert found.note == ""
    assert found.sizes == ("pitch 0.635 mm",)


def test_what_was_sold_is_no_spare() -> None:
    assert spares([Part("Screw", "small hardware", state="sold")]) == ()


def test_the_wish_list_has_its_sum_and_says_what_has_no_price() -> None:
    wished = [
        Part("Ring", "extension ring", state="wished for", price=20.0),
        Part("Belt", "small hardware", state="wished for", price=4.5),
        Part("Cap", "small hardware", (Value("mass_kg", STATED, 0.1),), state="wished for"),
        Part("Tube", "telescope", price=900.0),
    ]
    found = wishes(wished)
    assert [each.name for each in found] == ["Belt", "Cap", "Ring"]
    assert priced(found) == (24.5, 1)
