"""The Kit page: what is owned, what it does together, and which train is in use."""

from pathlib import Path

import pytest

from logbook.kit.parts import MEASURED, STATED, Part, Value
from logbook.store.opening import open_book
from tests.screen.book_on_screen import LONG_NOTE, begin_night, build_book, opened
from tests.store.clock import Clock


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
        assert "50 mm stated, 49.6 mm measured (-0.4): callipers, 2025-03-02" in words


async def test_enter_on_a_part_says_what_can_be_done_with_it(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("end", "enter")
        assert "A part is used in a train" in it.said
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
        await it.press("n", *"ext", "down", *"Ring 15", "ctrl+o")
        ring = it.book.kit.part_named("Ring 15")
        assert ring.part.kind == "extension ring"
        await it.press("down", "down", "down")
        assert "Ring 15" in it.words("#kit-what")
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
