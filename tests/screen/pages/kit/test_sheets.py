"""The sheet of a train, two trains side by side, the ring finder; what is drawn of them."""

from pathlib import Path

import pytest

from logbook.kit.optics.contrast import curve
from logbook.kit.parts.part import Part, Train
from logbook.kit.thermal.focus_fit import FocusSlope
from logbook.kit.thermal.tube_constant import TubeConstant
from logbook.kit.train.balance import Balance, Load
from logbook.kit.train.lengths import BackFocus, Rung
from logbook.kit.train.rows import PairRow
from logbook.records.entries import PartRecord, TrainRecord
from logbook.screen.pages.kit.bench import Bench
from logbook.screen.pages.kit.drawing import contrast_lines, ladder_lines, side_view_lines
from logbook.screen.pages.kit.learned import Learned
from logbook.screen.pages.kit.sections import pair_rows
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, build_book, opened

LENGTHS = (("Ring 50", 50.0), ("Ring 25", 25.0), ("Ring 15", 15.0))


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def with_rings(tmp_path: Path, clock: Clock) -> Path:
    """The small book; its long train wants 117.5 mm and has a flange of 17.5 mm and three rings."""
    path = build_book(tmp_path / "night.db", clock)
    with open_book(path, clock=clock) as book:
        for name, length_mm in LENGTHS:
            ring = Part(name, "extension ring").with_number("optical_length_mm", length_mm)
            book.kit.add_part(ring)
        tube = book.kit.part_named("Long Tube")
        book.kit.revise_part(tube.id, tube.part.with_number("back_focus_mm", 117.5))
        chip = book.kit.part_named("Small Chip")
        book.kit.revise_part(chip.id, chip.part.with_number("flange_distance_mm", 17.5))
    return path


def sheet_words(it: OnScreen) -> str:
    return " ".join(it.words(".sheet").replace("│", " ").split())


async def section(it: OnScreen, name: str) -> str:
    """Leaf to a section of the sheet; what it says."""
    for _ in range(12):
        if f"{name} " in it.words("#section-names") + " ":
            return sheet_words(it)
        await it.press("right")
    raise AssertionError(f"no section {name}")


@pytest.mark.parametrize("size", [(60, 16), (80, 24)])
async def test_the_sheet_is_leafed_through(
    with_rings: Path, clock: Clock, size: tuple[int, int]
) -> None:
    """0.477″/px: 206.265 × 3.76 / 1626; 2″ over it are 4.2 pixels."""
    async with opened(with_rings, clock, "kit", size) as it:
        await it.press("s")
        assert "1626 mm" in await section(it, "light")
        words = await section(it, "picture")
        assert "0.477″/px" in words
        assert "4.2 px across a star" in words
        assert "dotted" in await section(it, "contrast") or size[1] < 24
        assert "counted from Long Tube" in await section(it, "reaching focus")
        await it.press("escape")
        assert len(it.app.screen_stack) == 1


def test_what_readings_taught_of_two_trains_stands_beside_each_other() -> None:
    part = Part("Tube", "telescope")
    tube = PartRecord(7, "t", 1, 1, part, EVENING)
    one = TrainRecord(1, "a", 1, 1, Train("one", "camera", (part,)), (7,), EVENING)
    other = TrainRecord(2, "b", 2, 1, Train("other", "camera", ()), (), EVENING)
    slope = FocusSlope(-40.0, 2.2, -45.0, -35.0, 6.0, 9, 3, ())
    learned = Learned({7: TubeConstant(54.0, 42.0, 70.0, 15.0, 4)}, {2: slope})
    cooling, focus = learned.pairs(one, other, (tube,))
    assert (cooling.one, cooling.other) == ("54 min (42 to 70)", "")
    assert focus.one == ""
    assert focus.other == "-40 ± 2.2"
    shown = "\n".join(line.plain for line in pair_rows((cooling, focus), 70))
    assert "learned from readings" in shown
    assert "cooling constant     54 min (42 to 70)" in shown
    assert Learned().pairs(one, other, (tube,)) == ()


def test_words_too_long_for_a_column_stand_under_each_other() -> None:
    long = "counterweights go on before the tube"
    (_, same) = pair_rows((PairRow("s", "caution", long, long, False),), 70)
    assert same.plain.endswith(f"both: {long}")
    (_, differing) = pair_rows((PairRow("s", "caution", long, "none", True),), 70)
    assert differing.plain.splitlines()[1].strip() == "none"


async def test_other_seeing_is_reckoned_with_and_remembered(with_rings: Path, clock: Clock) -> None:
    """4″ over 0.477″/px are 8.4 pixels."""
    async with opened(with_rings, clock, "kit") as it:
        await it.press("s", "right", "a", *"4", "ctrl+o")
        assert "8.4 px across a star" in sheet_words(it)
        await it.press("escape", "s", "right")
        assert "8.4 px across a star" in sheet_words(it)
    async with opened(with_rings, clock, "kit") as it:
        await it.press("s", "right")
        assert "8.4 px across a star" in sheet_words(it)


async def test_a_seeing_that_cannot_be_is_refused(with_rings: Path, clock: Clock) -> None:
    async with opened(with_rings, clock, "kit") as it:
        await it.press("a", *"-2", "ctrl+o")
        assert "the seeing is 0.1 to 20" in sheet_words(it)
        assert "1 to mend first" in it.words("#form-foot")


async def test_a_heavy_train_is_cautioned_about_the_sun_too(with_rings: Path, clock: Clock) -> None:
    async with opened(with_rings, clock, "kit", (120, 40)) as it:
        assert "never point it at or near the Sun" in " ".join(it.words("#kit-what").split())


async def test_two_trains_stand_side_by_side(with_rings: Path, clock: Clock) -> None:
    async with opened(with_rings, clock, "kit") as it:
        await it.press("b", "enter")
        words = it.words(".sheet")
        assert "Long train and Short train" in words
        (line,) = (line for line in words.splitlines() if "aperture" in line)
        assert line.split()[1:] == ["aperture", "203", "mm", "80", "mm", "│"]


async def test_rings_are_found_and_put_on_the_bench(with_rings: Path, clock: Clock) -> None:
    """117.5 − 17.5 = 100 mm are left for rings; 50 + 25 + 15 = 90 come nearest, 10 are missing."""
    async with opened(with_rings, clock, "kit") as it:
        await it.press("r")
        words = sheet_words(it)
        assert "100.00 mm" in words
        assert "90.00 mm -10.00" in words
        assert "to buy" in words.casefold()
        await it.press(*"3 in")
        assert "fits" not in it.words("#ring-answers")
        assert "75.00 mm -1.20" in sheet_words(it)
        await it.press("down", *"2", "down", "down", "enter")
        assert isinstance(it.app.screen, Bench)
        order = it.words("#bench-list")
        assert order.index("Long Tube") < order.index("Ring 50") < order.index("Small Chip")
        assert "Ring 25" in order
        assert it.book.kit.train_named("Long train").revision == 3, "nothing is kept yet"


async def test_a_length_that_is_none_is_told_in_the_ring_finder(
    with_rings: Path, clock: Clock
) -> None:
    async with opened(with_rings, clock, "kit") as it:
        await it.press("r", *"-5")
        assert "cannot be" in sheet_words(it)
        await it.press("escape", "down", "r")
        assert "says how far behind it" in sheet_words(it)


def dots(line: str) -> int:
    """How many braille dots a line has."""
    return sum((ord(sign) - 0x2800).bit_count() for sign in line if 0x2800 <= ord(sign) < 0x2900)


def test_the_contrast_of_an_obstructed_aperture_lies_under_that_of_a_clear_one() -> None:
    """At a quarter of the cutoff 0.685 is passed by a clear aperture, less by one obstructed by a
    third (O'Neill 1956, JOSA 46, 285)."""
    one = contrast_lines(curve(0.0), curve(0.0), 40, 10)
    both = contrast_lines(curve(0.5), curve(0.0), 40, 10)
    assert one[0].startswith(" 1.0│")
    assert one[9].startswith(" 0.0│")
    assert sum(map(dots, both[:5])) < sum(map(dots, one[:5])), "less of it in the upper half"
    assert all(len(line) <= 45 for line in (*one, *both))


def test_each_bar_of_the_ladder_begins_where_the_one_before_ends() -> None:
    rungs = (
        Rung("Ring", 60.0, 0.0, 60.0),
        Rung("Gap", None, 0.0, None),
        Rung("Chip", 40.0, 0, 100),
    )
    found = BackFocus("Tube", 100.0, 100.0, rungs)
    head, ring, gap, chip, wanted = (line.plain for line in ladder_lines(found, 62))
    assert head == "counted from Tube"
    assert "length not known" in gap
    assert ring.index("█") == len("Ring".ljust(12)) + 1
    assert chip.index("█") == ring.rindex("█") + 1
    assert wanted.index("▲") <= chip.rindex("█") + 1
    assert ring.split()[-2:] == ["60.0", "60.0"]


def test_the_side_view_has_the_sky_at_the_left_and_every_load_by_its_letter() -> None:
    loads = (Load("Tube", 8.0, 300.0, False), Load("Camera", 1.0, -100.0, True))
    found = Balance(loads, 9.0, 255.6, 600.0, (100.0, 400.0), 250.0, 5.6, "", (), ())
    lines = [line.plain for line in side_view_lines(found, 71)]
    assert lines[0].index("a") < lines[0].index("b"), "the camera hangs behind the tube"
    assert lines[0].index("b") == 70
    assert lines[1].index("┌") == 0
    (centre,) = (line.index("▲") for line in lines if line.strip() == "▲")
    assert centre == round((600 - 255.6) / 700 * 70)
    assert "b Camera: 1.00 kg at -100 mm, assumed" in " ".join(lines)


def test_loads_at_one_place_stand_beside_each_other() -> None:
    loads = tuple(Load(f"part {place}", 1.0, 0.0, False) for place in range(4))
    found = Balance(loads, 4.0, 0.0, 300.0, None, None, None, "", (), ())
    top = side_view_lines(found, 40)[0].plain
    assert sorted(top.replace(" ", "")) == ["a", "b", "c", "d"]
