"""What was different in the kit, part by part and value by value."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from logbook.kit.parts.part import MEASURED, Part, Placement, Train
from logbook.records.entries import TrainRecord
from logbook.report.compare.difference import Difference
from logbook.report.compare.kit import kit_differences

TUBE = Part("Tube", "telescope").with_number("aperture_mm", 200)
RING = Part("Ring 50", "extension ring").with_number("optical_length_mm", 50)
OTHER_RING = Part("Ring 48", "extension ring").with_number("optical_length_mm", 48)
CHIP = Part("Chip", "camera").with_number("pixel_um", 3.76)
WEIGHT = Part("Weight", "counterweight").with_number("mass_kg", 5)
IDS = {"Tube": 1, "Ring 50": 2, "Ring 48": 3, "Chip": 4, "Weight": 5}


def train(
    *parts: Part, carried: tuple[Part, ...] = (), revision: int = 1, number: int = 1
) -> TrainRecord:
    return TrainRecord(
        id=number,
        uid=str(number),
        revision_id=100 * number + revision,
        revision=revision,
        train=Train(f"Train {number}", "camera", parts, carried),
        part_ids=tuple(IDS[each.name] for each in parts),
        made_utc=datetime(2025, 1, 1, tzinfo=UTC),
        carried_ids=tuple(IDS[each.name] for each in carried),
    )


def told(now: TrainRecord, then: TrainRecord) -> dict[str, Difference]:
    return {each.label: each for each in kit_differences(now, then, 2.0)}


def test_one_revision_has_no_difference_with_itself() -> None:
    assert kit_differences(train(TUBE), train(TUBE), 2.0) == []
    assert kit_differences(None, train(TUBE), 2.0) == []


def test_one_ring_for_another_is_one_change() -> None:
    found = told(train(TUBE, OTHER_RING, CHIP, revision=2), train(TUBE, RING, CHIP))
    assert list(found) == ["extension ring"]
    assert (found["extension ring"].before, found["extension ring"].after) == ("Ring 50", "Ring 48")


def test_what_came_and_what_went_is_said() -> None:
    found = told(train(TUBE, CHIP, carried=(WEIGHT,), revision=2), train(TUBE, RING, CHIP))
    assert found["extension ring"].after == "not in the train"
    assert found["counterweight"].before == "not in the train"
    assert found["counterweight"].may_arcsec < found["extension ring"].may_arcsec


def test_a_value_that_changed_weighs_more_than_one_measured_for_the_first_time() -> None:
    filed = RING.with_number("optical_length_mm", 49.5)
    found = told(train(TUBE, filed, CHIP, revision=2), train(TUBE, RING, CHIP))
    changed = found["Ring 50: optical length, stated"]
    assert (changed.before, changed.after) == ("50 mm", "49.5 mm")
    measured = RING.with_number("optical_length_mm", 49.8, basis=MEASURED, how="callipers")
    found = told(train(TUBE, measured, CHIP, revision=2), train(TUBE, RING, CHIP))
    anew = found["Ring 50: optical length, measured"]
    assert (anew.before, anew.after, anew.evidence) == ("not given", "49.8 mm", ("callipers",))
    assert anew.may_arcsec < changed.may_arcsec


def test_the_order_of_the_parts_is_seen() -> None:
    found = told(train(TUBE, CHIP, RING, revision=2), train(TUBE, RING, CHIP))
    assert found["order of the parts"].after == "Tube – Chip – Ring 50"


def test_another_train_is_said_before_its_parts() -> None:
    found = told(train(TUBE, OTHER_RING, number=2), train(TUBE, RING))
    assert list(found) == ["train", "extension ring"]


@pytest.mark.parametrize(
    ("old", "new", "label", "said"),
    [
        (
            Placement("Ring 50", 12.0),
            Placement("Ring 50", 14.5),
            "Ring 50: drawn out",
            ("12 mm", "14.5 mm"),
        ),
        (
            Placement("Ring 50"),
            Placement("Ring 50", 3.0),
            "Ring 50: drawn out",
            ("not given", "3 mm"),
        ),
        (
            Placement("Ring 50", None, 90.0),
            Placement("Ring 50", None, 70.0),
            "Ring 50: place along the tube",
            ("90 mm", "70 mm"),
        ),
    ],
)
def test_a_part_drawn_out_further_is_seen(
    old: Placement, new: Placement, label: str, said: tuple[str, str]
) -> None:
    sides = []
    for revision, placed in enumerate((old, new), start=1):
        record = train(TUBE, RING, revision=revision)
        sides.append(replace(record, train=replace(record.train, placements=(placed,))))
    found = told(sides[1], sides[0])
    assert (found[label].before, found[label].after) == said
