"""Joints along a train, and what from the shelf would mend one that does not mate."""

from dataclasses import replace

from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.threads import MATES, NO_MATE, NOT_KNOWN
from logbook.kit.train.joints import joints
from tests.kit.made import CAMERA, FOCUSER, TUBE, part, ring

SMALL_CAMERA = CAMERA.with_word("sky_side_thread", "M42x0.75 female")
STEP = part(
    "Step ring", "adapter", optical_length_mm=4, sky_side_thread="M54x0.75 male",
    eye_side_thread="M42x0.75 male",
)  # fmt: skip
TO_48 = part(
    "To 48", "adapter", optical_length_mm=6, sky_side_thread="M54x0.75 male",
    eye_side_thread="M48x0.75 female",
)  # fmt: skip
FROM_48 = part(
    "From 48", "adapter", sky_side_thread="M48x0.75 male", eye_side_thread="M42x0.75 male"
)


def train(*parts: Part) -> Train:
    return Train("any", "camera", parts)


def test_a_train_of_one_system_mates_throughout() -> None:
    found = joints(train(TUBE, FOCUSER, ring(25), CAMERA))
    assert [(each.above, each.below) for each in found] == [
        ("Long tube", "Focuser"), ("Focuser", "Ring 25"), ("Ring 25", "Night camera"),
    ]  # fmt: skip
    assert {each.verdict for each in found} == {MATES}
    assert found[1].above_end == "M54x0.75 female"


def test_the_adapter_from_the_shelf_is_named_with_what_it_adds() -> None:
    found = joints(train(TUBE, FOCUSER, SMALL_CAMERA), [STEP, TO_48, FROM_48, ring(10)])[-1]
    assert found.verdict == NO_MATE
    assert found.fixes[0].parts == ("Step ring",)
    assert found.fixes[0].adds_mm == 4.0
    assert "4.0 mm longer" in found.fixes[0].words
    assert len(found.fixes) == 1, "one part is enough, so no chain is offered"


def test_two_adapters_are_chained_where_one_will_not_do() -> None:
    found = joints(train(TUBE, FOCUSER, SMALL_CAMERA), [FROM_48, TO_48, ring(10)])[-1]
    assert found.fixes[0].parts == ("To 48", "From 48")
    assert found.fixes[0].adds_mm is None, "the length of one is not known"


def test_without_a_fix_the_adapter_to_buy_is_named() -> None:
    found = joints(train(TUBE, FOCUSER, SMALL_CAMERA), [TO_48])[-1]
    assert found.fixes == ()
    assert found.wanted == "an adapter from M54x0.75 male to M42x0.75 male"


def test_parts_that_are_lent_or_in_the_train_do_not_help() -> None:
    lent = replace(STEP, state="lent")
    assert joints(train(TUBE, FOCUSER, SMALL_CAMERA), [lent])[-1].fixes == ()
    used = joints(train(TUBE, FOCUSER, STEP, ring(10), SMALL_CAMERA), [STEP])
    assert all(each.fixes == () for each in used)


def test_an_unknown_end_is_said_and_not_flagged() -> None:
    bare = part("Camera", "camera", pixel_um=3.76)
    found = joints(train(TUBE, FOCUSER, bare), [STEP])[-1]
    assert (found.verdict, found.fixes, found.wanted) == (NOT_KNOWN, (), "")
    assert "not known" in found.why


def test_a_filter_in_its_cell_is_no_joint() -> None:
    glass = part("Ha", "filter", thickness_mm=3)
    screwed = glass.with_word("sky_side_thread", "M48x0.75 male")
    assert len(joints(train(TUBE, FOCUSER, glass, CAMERA))) == 2
    assert len(joints(train(TUBE, FOCUSER, screwed, CAMERA))) == 3
