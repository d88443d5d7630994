"""The Kit page: what is owned, what it does together, and which train is in use."""

from pathlib import Path

import pytest

from logbook.kit.parts.part import MEASURED, STATED, Part, Value
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import LONG_NOTE, begin_night, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_day(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "night.db", clock)


@pytest.fixture
def with_ring(by_day: Path, clock: Clock) -> Path:
    """A book with a ring whose length is both stated and measured, lent to someone."""
    values = (
        Value("optical_length_mm", STATED, 50.0),
        Value("optical_length_mm", MEASURED, 49.6, how="callipers", measured_on="2025-03-02"),
    )
    with open_book(by_day, clock=clock) as book:
        book.kit.add_part(Part("Ring 50", "extension ring", values, state="lent"))
    return by_day


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
async def test_the_chosen_train_shows_what_it_does(
    by_day: Path, clock: Clock, size: tuple[int, int]
) -> None:
    """0.477″/px: 206.265 × 3.76 µm / 1626 mm, the usual small-angle rule of handbooks."""
    async with opened(by_day, clock, "kit", size) as it:
        assert "train Long train  in use" in it.page
        assert "1626 mm  f/8.01" in it.page
        assert "0.477 ″/px" in it.page
        assert "34 % diameter" in it.page


async def test_enter_by_day_chooses_the_train(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("down", "enter")
        assert it.book.choices.get("train") == "Short train"
        assert "train Short train  in use" in it.page


async def test_enter_in_a_night_logs_the_change_of_train(by_day: Path, clock: Clock) -> None:
    begin_night(by_day, clock)
    async with opened(by_day, clock, "kit") as it:
        await it.press("f5")
        clock.forward(minutes=10)
        await it.press("down", "enter")
        (entry,) = it.timeline
        assert (entry.content.kind, entry.content.train_name) == ("kit", "Short train")
        assert "train Short train  in use" in it.page


async def test_a_part_shows_stated_and_measured_and_how_far_they_differ(
    with_ring: Path, clock: Clock
) -> None:
    async with opened(with_ring, clock, "kit") as it:
        await it.press("down", "down", "down")
        assert "extension ring Ring 50  lent" in it.page
        words = " ".join(it.words("#kit-what").split())
        assert "50 mm stated, 49.6 mm measured, −0.4 mm (−0.8 %): callipers, 2025-03-02" in words


async def test_enter_on_a_part_opens_its_form(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("end", "enter")
        assert "telescope Small Lens, revision 1" in it.words(".sheet")
        assert it.book.choices.get("train") == "Long train"


async def test_what_does_not_fit_is_a_key_away(by_day: Path, clock: Clock) -> None:
    with open_book(by_day, clock=clock) as book:
        book.kit.add_part(Part("Bag", "adapter", note=f"{LONG_NOTE} {LONG_NOTE} (ended)"))
    async with opened(by_day, clock, "kit", (60, 16)) as it:
        await it.press("down", "down")
        assert "Bag" in it.words("#kit-what")
        assert "(ended)" not in it.page
        await it.press("space")
        assert "(ended)" in it.page
        await it.press("space")
        assert "(ended)" not in it.page


async def test_a_part_is_written_down_measured_and_put_in_a_train(
    by_day: Path, clock: Clock
) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("n", *"ext", "down", *"Ring 15", "ctrl+o", "ctrl+o")
        ring = it.book.kit.part_named("Ring 15")
        assert ring.part.kind == "extension ring"
        assert "Ring 15" in it.words("#kit-what"), "what was just kept gets the cursor"
        await it.press("v", *"opt", "down", *"0.6 in", "ctrl+o")
        assert it.book.kit.part(ring.id).part.number("optical_length_mm") == pytest.approx(15.24)
        assert "Ring 15" in it.words("#kit-what")
        await it.press("c", *"Extended", "down", "down", *"long, ring, small chip", "ctrl+o")
        train = it.book.kit.train_named("Extended")
        assert [each.name for each in train.train.parts] == ["Long Tube", "Ring 15", "Small Chip"]
        assert "train Extended" in it.page


async def test_an_impossible_value_is_refused_with_words(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("end", "v", *"aper", "down", *"-200", "ctrl+o")
        assert it.app.screen.query(".sheet")
        assert "1 to mend first" in it.words(".sheet")
        await it.press("escape")
        lens = it.book.kit.part_named("Small Lens")
        assert lens.part.number("aperture_mm") == 80


async def test_hostile_names_are_shown_as_they_are(by_day: Path, clock: Clock) -> None:
    with open_book(by_day, clock=clock) as book:
        book.kit.add_part(Part("[/b] [red]x", "adapter"))
    async with opened(by_day, clock, "kit") as it:
        assert "adapter [/b] [red]x" in it.page


async def test_an_empty_shelf_says_what_to_do_first(tmp_path: Path, clock: Clock) -> None:
    path = build_book(tmp_path / "bare.db", clock)
    with open_book(path, clock=clock) as book:
        for train in book.kit.trains():
            book.kit.retire_train(train.id)
        for part in book.kit.parts():
            book.kit.retire_part(part.id)
        book.kit.add_train("Bare", "visual", (book.kit.add_part(Part("Eye", "eyepiece")).id,))
    async with opened(path, clock, "kit") as it:
        it.book.kit.retire_train(it.book.kit.train_named("Bare").id)
        await it.press("down", "x", *"ret", "enter")
        assert "1. n  write down the telescope" in it.page
        assert "4. c  put them together" in it.page


async def test_the_list_shows_one_kind_or_the_wish_list(by_day: Path, clock: Clock) -> None:
    with open_book(by_day, clock=clock) as book:
        for name, price in (("Ring 7", 18.5), ("Ring 9", 20.0)):
            wish = Part(name, "extension ring", state="wished for", reason="too short", price=price)
            book.kit.add_part(wish)
    async with opened(by_day, clock, "kit") as it:
        assert "Everything: 2 trains, 5 parts" in it.page
        await it.press("f", *"wi", "enter")
        assert "Wished for: 2 parts, 38.50 in all" in it.page
        assert "Ring 7  wished for 18.50: too short" in it.page
        assert "Small Chip" not in it.page
        await it.press("f", *"cam", "enter")
        assert "Wished for camera: nothing" in it.page
        await it.press("escape", "f", *"cam", "enter")
        assert "Small Chip" in it.page
        assert "Long train" not in it.words("#kit-list")
        await it.press("escape")
        assert "Everything: 2 trains, 5 parts" in it.page


async def test_a_train_is_retired_and_brought_back(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("down", "x", "enter")
        assert len(it.book.kit.trains()) == 2, "the first choice leaves it where it is"
        await it.press("x", "down", "enter")
        assert [each.train.name for each in it.book.kit.trains()] == ["Long train"]
        assert "Short train" not in it.words("#kit-list")
        await it.press("f", *"reti", "enter")
        assert "train Short train  retired" in it.page
        await it.press("enter")
        assert "x brings it back" in it.said
        await it.yes("x")
        assert len(it.book.kit.trains()) == 2
        await it.press("escape")
        assert "train Short train" in it.page


async def test_a_train_in_use_keeps_its_parts_from_being_retired(
    by_day: Path, clock: Clock
) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("down", "down", "x", *"ret", "enter")
        assert "Small Chip is in Long train, Short train" in it.said
        assert len(it.book.kit.parts()) == 3


async def test_the_history_tells_what_changed_when_and_why(by_day: Path, clock: Clock) -> None:
    with open_book(by_day, clock=clock) as book:
        chip = book.kit.part_named("Small Chip")
        clock.forward(days=20)
        better = chip.part.with_number("pixel_um", 3.7, basis=MEASURED, how="microscope")
        book.kit.revise_part(chip.id, better, "measured at last")
    async with opened(by_day, Clock(clock.now), "kit") as it:
        await it.press("down", "down", "h")
        words = it.words(".sheet")
        assert "2  2025-10-24  measured at last" in words
        assert "pixel, measured: none → 3.7 µm (microscope)" in words
        assert "written down" in words
        await it.press("escape", "home", "h")
        words = it.words(".sheet")
        assert "2  2025-10-24  Small Chip: measured at last" in words
        assert "Long Tube → Small Chip" in words


async def test_a_train_is_copied(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("o", *"Light", "enter")
        copied = it.book.kit.train_named("Light")
        assert copied.train.parts == it.book.kit.train_named("Long train").train.parts
        assert "Light" in it.words("#kit-what")
        await it.press("o", *"long train", "enter")
        said = " ".join(it.words("#said-name").split())
        assert "Long train is taken: choose another name" in said
