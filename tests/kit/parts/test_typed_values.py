"""Lengths and masses as typed, metric or imperial. Inch 25.4 mm and pound 0.45359237 kg exactly:
international yard and pound agreement, 1959."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.kit.parts.kinds import KINDS, Quantity
from logbook.kit.parts.typed_values import read_length_mm, read_value


def quantity(kind: str, name: str) -> Quantity:
    found = KINDS[kind].quantity(name)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("8 in", 203.2), ('8"', 203.2), ("8 inches", 203.2), ("203", 203.0), ("203 mm", 203.0),
        ("203,2 mm", 203.2), ("20.3 cm", 203.0), ("1.624 m", 1624.0), ('7 7/8"', 200.025),
        ("7-7/8 in", 200.025), ("½ in", 12.7), ("5 ft 4 in", 1625.6), ("5'4\"", 1625.6),
        ("3/4 in", 19.05), ("0.5 thou", 0.0127), ("250 µm", 0.25),
        ("-12 ft 6 in", -3810.0), ("−3", -3.0), ("0.5 km", 500_000.0),
    ],
)  # fmt: skip
def test_lengths(typed: str, mm: float) -> None:
    assert read_length_mm(typed) == pytest.approx(mm, abs=1e-6)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "no number"), ("long", "no number"), ("8 in 3", "unit of the last"),
        ("8 kg", "does not fit"), ("1,624", "two ways"), ("1/0 in", "no number"),
        ("8 in in", "no number"), ("[/x]", "no number"), ("\x1b[31m8", "no number"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_words(typed: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_length_mm(typed)


def test_what_was_understood_is_shown_back() -> None:
    aperture = quantity("telescope", "aperture_mm")
    assert read_value(aperture, "8 in").shown == "203.2 mm (8 in)"
    assert read_value(aperture, "203 mm").shown == "203 mm"
    assert read_value(aperture, "203").shown == "203 mm"
    assert read_value(quantity("telescope", "mass_kg"), "2.5 lb").shown == "1.134 kg (2.5 lb)"
    assert read_value(quantity("eyepiece", "apparent_field_deg"), "68 deg").number == 68.0
    assert read_value(quantity("camera", "pixel_um"), "3.76").shown == "3.76 µm"
    assert read_value(quantity("reducer", "factor"), "0.72x").number == 0.72
    assert (
        read_value(quantity("telescope", "tube_material"), " carbon  fibre ").word == "carbon fibre"
    )


def test_impossible_values_are_refused_with_the_limits() -> None:
    with pytest.raises(BadInput, match="not possible: 10 to 5000 mm"):
        read_value(quantity("telescope", "aperture_mm"), "-8 in")
    with pytest.raises(BadInput, match="nothing was typed"):
        read_value(quantity("telescope", "aperture_mm"), "  ")


@given(st.text(max_size=80))
def test_nothing_typed_breaks_it(typed: str) -> None:
    for kind in KINDS.values():
        described = kind.quantities[0]
        try:
            read = read_value(described, typed)
        except BadInput:
            continue  # refused with words; anything else would fail here
        assert read.number is not None or read.word


@given(st.floats(0.01, 5000.0).map(lambda number: round(number, 3)))
def test_inches_and_millimetres_agree(inches: float) -> None:
    assert read_length_mm(f"{inches} in") == pytest.approx(read_length_mm(f"{inches * 25.4:.9f}"))
