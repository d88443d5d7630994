"""The form of a whole part: what was typed is shown in metric, saved, or refused with words."""

from dataclasses import replace
from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.kit.parts.part import MEASURED, STATED, Part, Value
from logbook.screen.pages.kit.keys import open_part
from logbook.screen.pages.kit.page import KitPage
from logbook.screen.pages.kit.part_form import PartForm
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_day(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "night.db", clock)


async def new_part(it: OnScreen, kind: str, name: str) -> None:
    open_part(it.app.query_one(KitPage).held, Part(name, kind), None)
    await it.settle()
    assert isinstance(it.app.screen, PartForm)


async def fill(it: OnScreen, **values: str) -> None:
    """Put words into fields, as if they had been typed."""
    for name, value in values.items():
        it.app.screen.query_one(f"#field-{name.replace('__', '-')}", Input).value = value
    await it.settle()


def sheet_words(it: OnScreen) -> str:
    """The form as drawn, in one line."""
    return " ".join(it.words(".sheet").replace("│", " ").split())


@pytest.mark.parametrize("size", [(60, 16), (80, 24)])
async def test_a_ring_is_measured_in_inches_and_shown_back_in_millimetres(
    by_day: Path, clock: Clock, size: tuple[int, int]
) -> None:
    """An inch is 25.4 mm by definition (international yard and pound, 1959)."""
    async with opened(by_day, clock, "kit", size) as it:
        await new_part(it, "extension ring", "Ring")
        await it.press(*"2 in", "enter")
        await fill(it, optical_length_mm__measured="50.6; callipers; 2025-09-30")
        words = sheet_words(it)
        assert "50.8 mm" in words
        assert "−0.2" in words, "the difference to what was stated"
        assert "ctrl+o" in it.words("#form-foot")
        await it.press("ctrl+o")
        assert it.book.kit.part_named("Ring").part.values == (
            Value("optical_length_mm", STATED, 50.8),
            Value("optical_length_mm", MEASURED, 50.6, how="callipers", measured_on="2025-09-30"),
        )


async def test_arrows_stay_in_their_column_and_enter_goes_through_both(
    by_day: Path, clock: Clock
) -> None:
    async with opened(by_day, clock, "kit") as it:
        await new_part(it, "focuser", "Draw tube")
        places = []
        for key in ("down", "enter", "down", "pagedown", "up"):
            await it.press(key)
            assert it.app.focused is not None
            places.append(it.app.focused.id)
        assert places == [
            "field-travel_mm-stated",
            "field-travel_mm-measured",
            "field-step_um-measured",
            "field-note",
            "field-price",
        ]


async def test_one_tool_and_day_serve_all_that_is_measured_at_a_sitting(
    by_day: Path, clock: Clock
) -> None:
    async with opened(by_day, clock, "kit") as it:
        await new_part(it, "counterweight", "Weight")
        await fill(it, how="scale", mass_kg__measured="11 lb")
        await it.press("ctrl+o")
        (mass,) = it.book.kit.part_named("Weight").part.values
        assert (mass.how, mass.measured_on) == ("scale", "2025-10-04")
        assert mass.number == pytest.approx(4.98952)  # 0.45359237 kg a pound, exact (1959)


async def test_a_value_left_alone_keeps_how_and_when_it_was_measured(
    by_day: Path, clock: Clock
) -> None:
    old = Value("mass_kg", MEASURED, 1.2345678, how="post scale; twice", measured_on="2024-01-05")
    with open_book(by_day, clock=clock) as book:
        first = book.kit.add_part(Part("Apple", "counterweight", (old,)))
    async with opened(by_day, clock, "kit") as it:
        await it.press(*["down"] * 3, "e", *"1 kg", "ctrl+o")
        kept = it.book.kit.part(first.id)
        assert kept.part.values == (Value("mass_kg", STATED, 1.0), old)


async def test_the_rest_of_a_part_is_in_the_form_too(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("down", "down", "e", *["down"] * 6, *"wish")
        await fill(it, reason="the old one is noisy", price="812.5", note="cooled")
        await fill(it, photo_path="p/chip.jpg", link="https://example.org", why="thinking")
        await it.press("ctrl+o")
        kept = it.book.kit.part_named("Small Chip")
        before = it.book.kit.part_history(kept.id)[0].part
        assert kept.part == replace(
            before,
            state="wished for",
            reason="the old one is noisy",
            price=812.5,
            note="cooled",
            photo_path="p/chip.jpg",
            link="https://example.org",
        )
        assert kept.why == "thinking"


async def test_everything_wrong_is_said_beside_its_field_and_nothing_is_kept(
    by_day: Path, clock: Clock
) -> None:
    async with opened(by_day, clock, "kit") as it:
        await new_part(it, "camera", "Chip")
        await it.press(*"0", "down", "down")
        await fill(it, height_px__stated="-5", flange_distance_mm__measured="-3 mm")
        await fill(it, sky_side_thread__stated="M-x9")
        await it.press("ctrl+o")
        words = sheet_words(it)
        assert "4 to mend first" in it.words("#form-foot")
        assert "pixel 0 µm is not possible" in words
        assert "flange distance -3 mm" in words
        assert "is no thread known here" in words
        assert len(it.book.kit.parts()) == 3


async def test_what_only_together_cannot_be_is_said_too(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await new_part(it, "telescope", "Odd")
        await fill(it, aperture_mm__stated="200", obstruction_mm__stated="210")
        await it.press("ctrl+o")
        assert "secondary's housing is as wide as the aperture" in sheet_words(it)
        await it.press("escape")
        assert "What you typed is there" in " ".join(it.said.split()), "Escape loses nothing"
        assert len(it.book.kit.parts()) == 3


async def test_a_name_that_is_taken_is_told_while_nothing_is_lost(
    by_day: Path, clock: Clock
) -> None:
    async with opened(by_day, clock, "kit") as it:
        await new_part(it, "counterweight", "small CHIP")
        await fill(it, mass_kg__stated="2 kg")
        await it.press("ctrl+o")
        assert "Small Chip is taken: choose another name" in sheet_words(it)
        await fill(it, name="Weight")
        await it.press("ctrl+o")
        assert it.book.kit.part_named("Weight").part.number("mass_kg") == 2.0


async def test_nothing_changed_makes_no_revision(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("end", "enter", "ctrl+o")
        assert "nothing was changed" in it.words("#form-foot")
        await it.press("escape")
        assert it.book.kit.part_named("Small Lens").revision == 1
