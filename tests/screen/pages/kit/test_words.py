"""What the Kit page makes of trains and parts before anything is drawn."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from logbook.errors import BadInput
from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import MEASURED, STATED, Part, Placement, Train, Value
from logbook.records.entries import PartRecord
from logbook.screen.pages.kit import draft as kit_draft
from logbook.screen.pages.kit.history import part_changes, train_changes
from logbook.screen.services.typed_values import read_measured, value_typed

TODAY = date(2026, 11, 9)
TUBE = Part("Tube", "telescope").with_number("aperture_mm", 200)
RING = Part("Ring", "extension ring").with_number("optical_length_mm", 50)
CHIP = Part("Chip", "camera").with_number("pixel_um", 3.76)
WEIGHT = Part("Weight", "counterweight").with_number("mass_kg", 5)
TRAIN = Train("Long", "camera", (TUBE, RING, CHIP), (WEIGHT,))


def record(part: Part) -> PartRecord:
    return PartRecord(1, "uid", 1, 1, part, datetime(2025, 1, 1, tzinfo=UTC))


@pytest.mark.parametrize(
    ("name", "step", "order"),
    [
        ("Ring", 1, ["Tube", "Chip", "Ring", "Weight"]),
        ("Ring", -1, ["Ring", "Tube", "Chip", "Weight"]),
        ("Tube", -1, ["Tube", "Ring", "Chip", "Weight"]),
        ("Chip", 1, ["Tube", "Ring", "Chip", "Weight"]),
        ("Weight", 1, ["Tube", "Ring", "Chip", "Weight"]),
    ],
)
def test_a_part_moves_one_place_and_never_off_the_end(
    name: str, step: int, order: list[str]
) -> None:
    assert kit_draft.names(kit_draft.moved(TRAIN, name, step)) == order


def test_a_part_without_light_through_it_rides_along() -> None:
    shield = Part("Shield", "dew shield")
    assert kit_draft.added(TRAIN, shield, "Ring").carried == (WEIGHT, shield)
    flat = Part("Flat", "corrector")
    assert kit_draft.added(TRAIN, flat, "Ring").parts == (TUBE, RING, flat, CHIP)
    assert kit_draft.added(TRAIN, flat, "Weight").parts == (TUBE, RING, CHIP, flat)
    assert kit_draft.toggled(kit_draft.toggled(TRAIN, "Ring"), "Ring").carried == (WEIGHT,)


def test_the_shelf_is_what_is_not_in_the_train_and_was_not_sold() -> None:
    spare, sold = Part("Spare", "adapter"), Part("Gone", "adapter", state="sold")
    wished = Part("Hoped", "adapter", state="wished for")
    records = [record(part) for part in (TUBE, spare, sold, wished)]
    assert kit_draft.shelf(TRAIN, records) == (spare, wished)


def test_a_tried_value_becomes_a_wish_with_nothing_measured() -> None:
    tried = CHIP.with_number("pixel_um", 2.4, basis=MEASURED, how="tried out")
    draft = replace(TRAIN, parts=(TUBE, RING, tried), placements=(Placement("Chip", 3.0),))
    records = [record(part) for part in (TUBE, RING, CHIP, WEIGHT)]
    assert kit_draft.tried(draft, records) == (tried,)
    wishes = kit_draft.wishes((tried,), "Fine", ["Chip", "chip (FINE)"])
    wish = wishes["Chip"]
    assert (wish.name, wish.state) == ("Chip (Fine) 2", "wished for")
    assert wish.values == (Value("pixel_um", STATED, 2.4),)
    kept = kit_draft.renamed(draft, "Fine", wishes)
    assert [part.name for part in kept.parts] == ["Tube", "Ring", "Chip (Fine) 2"]
    assert kept.placements == (Placement("Chip (Fine) 2", 3.0),)


def test_the_history_of_a_train_says_what_went_in_and_out_and_where() -> None:
    changed = Train("Long", "camera", (TUBE, CHIP), (), (Placement("Chip", 2.0, -80.0),))
    assert train_changes(TRAIN, changed) == [
        "taken out: Ring",
        "taken out: Weight",
        "Chip: drawn out 2 mm, along the tube -80 mm",
    ]
    turned = replace(TRAIN, parts=(RING, TUBE, CHIP))
    assert train_changes(TRAIN, turned) == ["order: Ring → Tube → Chip"]
    heavier = replace(TRAIN, carried=(WEIGHT.with_number("mass_kg", 6),))
    assert train_changes(TRAIN, heavier) == ["Weight: mass, stated: 5 kg → 6 kg"]
    assert train_changes(TRAIN, TRAIN) == []


def test_the_history_of_a_part_says_its_state_price_and_words() -> None:
    threaded = replace(RING, values=(Value("sky_side_thread", STATED, word="M54x0.75 male"),))
    came = replace(threaded, state="wished for", price=12.5)
    assert part_changes(RING, came) == [
        "state: owned → wished for",
        "price: none → 12.50",
        "optical length, stated: 50 mm → none",
        "thread, sky side, stated: none → M54x0.75 male",
    ]


@pytest.mark.parametrize(
    "value",
    [
        Value("mass_kg", MEASURED, 1.25),
        Value("mass_kg", MEASURED, 1.25, how="scale"),
        Value("mass_kg", MEASURED, 1.25, how="scale; twice", measured_on="2025-03-01"),
        Value("mass_kg", MEASURED, 1.25, measured_on="2025-03-01"),
    ],
)
def test_a_measured_value_is_typed_again_as_it_was(value: Value) -> None:
    quantity = KINDS["counterweight"].quantities[0]
    assert quantity.name == "mass_kg"
    assert read_measured(quantity, value_typed(quantity, value), "", "", TODAY) == value


def test_a_day_that_is_none_is_refused() -> None:
    quantity = KINDS["counterweight"].quantities[0]
    with pytest.raises(BadInput, match="'soon' is not a date"):
        read_measured(quantity, "2 kg; scale; soon", "", "", TODAY)
