"""A sheet as rows of words, and two of them beside each other."""

import pytest

from logbook.kit.parts.part import Train
from logbook.kit.train.rows import CAUTIONS, FOCUS, SECTIONS, number, rows, side_by_side
from logbook.kit.train.sheet import Assumed, sheet
from logbook.kit.train.whatif import inserted, whatif
from tests.kit.made import CAMERA, FOCUSER, TUBE, part, ring

NATIVE = Train("native", "camera", (TUBE, FOCUSER, ring(40), CAMERA))


def test_rows_come_section_by_section() -> None:
    found = [row.section for row in rows(sheet(NATIVE))]
    assert found == sorted(found, key=SECTIONS.index)
    assert found[-1] == CAUTIONS


def test_an_unknown_number_has_no_row() -> None:
    bare = Train("bare", "camera", (part("Tube", "telescope", aperture_mm=203),))
    labels = {row.label for row in rows(sheet(bare))}
    assert "aperture" in labels
    assert labels.isdisjoint({"focal length", "image scale", "field", "mass"})


def test_one_train_beside_itself_differs_nowhere() -> None:
    one = sheet(NATIVE)
    assert not any(each.differs for each in side_by_side(one, one))


def test_what_only_the_other_train_has_stands_behind_its_neighbour() -> None:
    other = inserted(NATIVE, ring(5), "Ring 40")
    labels = [each.label for each in whatif(NATIVE, other) if each.section == FOCUS]
    assert labels[:5] == ["wanted", "+ Focuser", "+ Ring 40", "+ Ring 5", "+ Night camera"]


def test_the_chosen_seeing_decides_the_sampling() -> None:
    steady, poor = (sheet(NATIVE, Assumed(seeing_arcsec=each)) for each in (1.2, 4.0))
    assert steady.sampling is not None
    assert poor.sampling is not None
    assert (steady.sampling.verdict, poor.sampling.verdict) == ("fits", "over")


@pytest.mark.parametrize(
    ("value", "unit", "decimals", "shown"),
    [
        (1624.0, "mm", 0, "1624 mm"),
        (0.4776, "″/px", 3, "0.478″/px"),
        (-0.004, "mm", 1, "0.0 mm"),
        (-1.25, "mm", 1, "−1.2 mm"),
        (None, "mm", 0, ""),
    ],
)
def test_numbers_with_their_units(
    value: float | None, unit: str, decimals: int, shown: str
) -> None:
    assert number(value, unit, decimals) == shown
