"""A form says everything that is wrong with a part at once."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.kit.parts.check import Fault, check_part
from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import MEASURED, STATED, Part, Value


def words_of(faults: tuple[Fault, ...], field: str) -> str:
    return " / ".join(fault.words for fault in faults if fault.field == field)


def test_a_sound_part_has_no_fault() -> None:
    tube = Part(
        "Tube",
        "telescope",
        (
            Value("aperture_mm", STATED, 203.0),
            Value("focal_length_mm", STATED, 1624.0),
            Value("focal_length_mm", MEASURED, 1631.0, measured_on="2026-04-02"),
            Value("obstruction_mm", MEASURED, 67.0),
            Value("tube_material", STATED, word="carbon fibre"),
            Value("eye_side_thread", STATED, word="M68x1 female"),
        ),
    )
    assert check_part(tube) == ()


def test_all_faults_are_said_at_once() -> None:
    camera = Part(
        "",
        "camera",
        (
            Value("pixel_um", STATED, 0.0),
            Value("width_px", STATED, -6248.0),
            Value("height_px", STATED, None),
            Value("flange_distance_mm", STATED, math.nan),
            Value("aperture_mm", STATED, 203.0),
            Value("sky_side_thread", STATED, word="bolted somehow"),
            Value("mass_kg", "guessed", 0.6, measured_on="last week"),
        ),
        state="lost",
        price=-1.0,
    )
    faults = check_part(camera)
    assert "name" in words_of(faults, "name")
    assert "owned" in words_of(faults, "state")
    assert "0 or more" in words_of(faults, "price")
    assert "0 is not possible" in words_of(faults, "pixel_um")
    assert "never negative" in words_of(faults, "width_px")
    assert "needs a number" in words_of(faults, "height_px")
    assert "needs a number" in words_of(faults, "flange_distance_mm")
    assert "has no aperture" in words_of(faults, "aperture_mm")
    assert "no thread" in words_of(faults, "sky_side_thread")
    assert "stated or measured" in words_of(faults, "mass_kg")
    assert "no date" in words_of(faults, "mass_kg")


def test_an_unknown_kind_is_refused_with_the_known_ones() -> None:
    assert "telescope" in words_of(check_part(Part("Thing", "gizmo")), "kind")


def test_a_value_given_twice_is_refused() -> None:
    ring = Part(
        "Ring", "extension ring",
        (Value("optical_length_mm", STATED, 40.0), Value("optical_length_mm", STATED, 41.0)),
    )  # fmt: skip
    assert "twice" in words_of(check_part(ring), "optical_length_mm")


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"aperture_mm": 203.0, "obstruction_mm": 203.0}, "obstruction_mm"),
        ({"aperture_mm": 203.0, "tube_diameter_mm": 190.0}, "aperture_mm"),
        ({"focal_length_mm": 1624.0, "primary_focal_length_mm": 2000.0}, "primary_focal_length_mm"),
        ({"aperture_mm": 203.0, "focal_length_mm": 50.0}, "focal_length_mm"),
    ],
)
def test_values_that_cannot_be_together(values: dict[str, float], field: str) -> None:
    tube = Part("Tube", "telescope", tuple(Value(q, STATED, n) for q, n in values.items()))
    assert words_of(check_part(tube), field)


@pytest.mark.parametrize(
    "thread",
    ["M42x0.75", "M48x0.75 male", "M54 × 0.75 female", "M68x1", '2"-24 tpi', "3.25 in-16",
     '1.25"', '2" barrel', "50.8 mm", "31.75 mm barrel", "bayonet", "none", "M3"],
)  # fmt: skip
def test_threads_and_barrels_of_the_trade_pass(thread: str) -> None:
    """Standard sizes: ISO metric threads, inch threads by turns an inch, plain barrels."""
    ring = Part("Ring", "adapter", (Value("sky_side_thread", STATED, word=thread),))
    assert check_part(ring) == ()


@given(
    kind=st.sampled_from([*KINDS, "other"]),
    number=st.floats(allow_nan=True, allow_infinity=True),
    word=st.one_of(st.none(), st.text(max_size=20)),
    quantity=st.sampled_from([q.name for kind in KINDS.values() for q in kind.quantities]),
)
def test_nothing_typed_breaks_the_check(
    kind: str, number: float, word: str | None, quantity: str
) -> None:
    faults = check_part(Part("x", kind, (Value(quantity, STATED, number, word),)))
    known = KINDS.get(kind)
    described = known.quantity(quantity) if known else None
    if described is None:
        assert faults
    elif not described.is_text:
        inside = math.isfinite(number) and described.low <= number <= described.high
        assert bool(faults) is not inside
