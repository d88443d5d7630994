"""The bench: a train changed part by part, what-if with nothing saved, what is saved when asked."""

from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.kit.parts.part import STATED, Part, Placement, Value
from logbook.screen.pages.kit.bench import Bench
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


def threaded(name: str, kind: str, sky: str, eye: str, length_mm: float) -> Part:
    values = [Value("optical_length_mm", STATED, length_mm)]
    values.append(Value("sky_side_thread", STATED, word=sky))
    values.append(Value("eye_side_thread", STATED, word=eye))
    return Part(name, kind, tuple(values))


@pytest.fixture
def by_day(tmp_path: Path, clock: Clock) -> Path:
    """The small book with two rings whose threads differ, an adapter between them and a guider."""
    path = build_book(tmp_path / "night.db", clock)
    with open_book(path, clock=clock) as book:
        parts = (
            threaded("Ring 50", "extension ring", "M54x0.75 male", "M54x0.75 female", 50.0),
            threaded("Ring 20", "extension ring", "M48x0.75 male", "M48x0.75 female", 20.0),
            threaded("Step", "adapter", "M54x0.75 male", "M48x0.75 female", 4.0),
            Part("Guider", "guide telescope").with_number("mass_kg", 1.2),
            Part("Half", "reducer").with_number("factor", 0.5),
        )
        for part in parts:
            book.kit.add_part(part)
    return path


def list_words(it: OnScreen) -> str:
    return it.words("#bench-list")


def numbers(it: OnScreen) -> str:
    return " ".join(it.words("#bench-numbers").split())


async def pick(it: OnScreen, key: str, name: str) -> None:
    await it.press(key, *name, "enter")


async def test_parts_are_put_in_moved_and_kept_with_why(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("e")
        assert isinstance(it.app.screen, Bench)
        await pick(it, "a", "20")
        await pick(it, "a", "50")
        assert "does not mate" in list_words(it) or "✗" in list_words(it)
        await it.press("u", "t")
        assert "Ring 50" not in list_words(it)
        await it.press("z", "ctrl+o", *"longer", "enter")
        train = it.book.kit.train_named("Long train")
        assert [part.name for part in train.train.parts] == [
            "Long Tube",
            "Ring 50",
            "Ring 20",
            "Small Chip",
        ]
        assert (train.revision, train.note) == (2, "longer")


async def test_a_joint_that_does_not_mate_is_mended_from_the_shelf(
    by_day: Path, clock: Clock
) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("e")
        await pick(it, "a", "50")
        await pick(it, "a", "20")
        assert "✗" in list_words(it)
        await it.press("f")
        assert "Step" in it.words(".sheet")
        await it.press("enter")
        assert "✗" not in list_words(it)
        words = list_words(it)
        assert words.index("Ring 50") < words.index("Step") < words.index("Ring 20")


@pytest.mark.parametrize("size", [(60, 16), (120, 40)])
async def test_what_if_shows_before_and_after_and_keeps_nothing(
    by_day: Path, clock: Clock, size: tuple[int, int]
) -> None:
    """1626 mm × 0.5 = 813 mm."""
    async with opened(by_day, clock, "kit", size) as it:
        await it.press("w")
        await pick(it, "a", "hal")
        assert "focal length 1626 mm → 813 mm" in numbers(it)
        await it.press("escape")
        assert "Not saved: what you put together" in it.said
        assert len(it.app.screen_stack) == 1
        assert it.book.kit.train_named("Long train").revision == 1
        assert len(it.book.kit.trains()) == 2


async def test_a_value_is_tried_and_kept_as_a_new_train_with_a_wish(
    by_day: Path, clock: Clock
) -> None:
    """3.252 µm at 1626 mm: 206.265 × 3.252 / 1626 = 0.4125″/px."""
    async with opened(by_day, clock, "kit") as it:
        await it.press("w", "down", "v", *"pix", "down", *"3.252", "enter")
        assert "image scale 0.477″/px → 0.413″/px" in numbers(it)
        await it.press("ctrl+o", *"long train", "ctrl+o")
        said = " ".join(it.words("#said-name").split())
        assert "Long train is taken: choose another name" in said
        it.app.screen.query_one(Input).value = "Fine"
        await it.press("ctrl+o")
        fine = it.book.kit.train_named("Fine")
        wish = fine.train.parts[-1]
        assert wish.name == "Small Chip (Fine)"
        assert (wish.state, wish.reason) == ("wished for", "tried out for Fine")
        assert Value("pixel_um", STATED, 3.252) in wish.values
        assert it.book.kit.part_named("Small Chip").revision == 1
        assert it.book.kit.train_named("Long train").revision == 1


async def test_a_tried_value_is_never_kept_as_a_change(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("e", "ctrl+o")
        assert "Nothing was changed" in it.words("#bench-keys")
        await it.press("down", "v", *"pix", "down", *"3", "enter", "ctrl+o")
        assert "values only tried. k keeps this as a new train" in it.words("#bench-keys")
        assert it.book.kit.train_named("Long train").revision == 1


async def test_what_rides_along_is_carried_and_placed(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("e")
        await pick(it, "a", "gui")
        assert "carried: Guider" in list_words(it)
        await it.press("g", "down", *"10 in", "enter")
        assert "at 254 mm" in list_words(it)
        await it.press("ctrl+o", "enter")
        kept = it.book.kit.train_named("Long train")
        assert [part.name for part in kept.train.carried] == ["Guider"]
        assert kept.train.placements == (Placement("Guider", None, 254.0),)
        await it.press("e", "end", "c")
        assert "carried" not in list_words(it)
        await it.press("z")
        assert "carried: Guider" in list_words(it)


async def test_a_part_is_replaced_by_one_of_its_kind(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("e", "r", "enter")
        assert "Small Lens" in list_words(it), "another telescope is offered first"
        assert "Long Tube" not in list_words(it)


async def test_a_new_train_is_put_together_from_the_shelf(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "kit") as it:
        await it.press("c", *"Lens train", "ctrl+o")
        assert isinstance(it.app.screen, Bench)
        await it.press("k")
        assert "needs at least one part" in it.words("#bench-keys")
        await pick(it, "a", "lens")
        await pick(it, "a", "chip")
        await it.press("ctrl+o", "enter", "enter")
        kept = it.book.kit.train_named("Lens train").train
        assert [part.name for part in kept.parts] == ["Small Lens", "Small Chip"]
        assert kept.kind == "camera"
        assert "Lens train" in it.words("#kit-what")
