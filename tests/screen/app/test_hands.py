"""Where letters go, and what a letter does: the line has them unless it was visibly left."""

from pathlib import Path

import pytest

from logbook.screen.app.page_classes import make_page
from logbook.screen.widgets.entry_bar import PAGE_MARK
from logbook.screen.widgets.page import Page
from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_night(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    return path


def entry_row(it: OnScreen) -> str:
    return it.words("#entry")


def logged(it: OnScreen) -> list[str]:
    return [each.content.text for each in it.timeline]


async def test_escape_clears_the_line_up_brings_it_back_the_next_escape_leaves_it(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press(*"seeing 9/5", "escape")
        assert it.line == ""
        assert entry_row(it) == "▸"
        await it.press("up")
        assert it.line == "seeing 9/5"
        await it.press("escape", *"air 4", "enter")
        assert logged(it) == ["air 4"]
        await it.press("escape")
        assert entry_row(it) == PAGE_MARK.rstrip()
        await it.press("ctrl+t")
        assert entry_row(it) == "▸"


@pytest.mark.slow
async def test_a_line_typed_while_the_list_has_the_keys_becomes_no_command(
    by_night: Path, clock: Clock
) -> None:
    """Each began with a key that wrote something of its own."""
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        for line in ("seeing 3/5", "mirror 8.1", "break", "cloud 20%", "2 x 60s"):
            clock.forward(minutes=1)
            await it.press("escape", *line)
            assert it.line == line
            await it.press("enter")
        assert logged(it)[1:] == ["seeing 3/5", "mirror 8.1", "break", "cloud 20%", "2 x 60s"]


@pytest.mark.slow
@pytest.mark.parametrize("key", ["r", "+", "c", "C", "s", "m", "b", "d"])
async def test_a_letter_writes_only_after_a_second_key_and_never_the_same(
    by_night: Path, clock: Clock, key: str
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        await it.enter("20 x 180s Ha")
        before = logged(it)
        await it.press("escape", key)
        assert it.said.startswith(f"{key}: ")
        assert "Enter yes, Escape no" in " ".join(it.said.split())
        await it.press("escape")
        assert "Nothing was logged." in it.said
        await it.press("enter")
        await it.press(key, "down", "enter")
        assert logged(it) == before, "another key drops what was asked"
        await it.press(key, key)
        assert it.line == key * 2
        assert logged(it) == before
        await it.press("escape", "escape", key, "enter")
        assert logged(it) != before


async def test_what_was_asked_is_dropped_when_the_book_changed(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note first")
        await it.press("escape", "d")
        await it.enter("note second")
        await it.press("enter")
        assert logged(it) == ["note first", "note second"]


@pytest.mark.parametrize("page", ["choose", "screws", "kit", "past", "upkeep"])
async def test_a_letter_that_means_nothing_on_a_page_is_typed(
    by_night: Path, clock: Clock, page: str
) -> None:
    async with opened(by_night, clock, page) as it:
        taken = make_page(page, it.app.desk)._bindings.key_to_bindings
        free = next(each for each in "jqzgiy" if each not in taken)
        assert entry_row(it) == PAGE_MARK.rstrip()
        await it.press(free, "5")
        assert it.line == f"{free}5"
        assert entry_row(it) == f"▸ {free}5"


async def test_a_page_turned_with_words_on_the_line_leaves_them_the_keys(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        for key in ("f2", "f4", "f5", "f6", "ctrl+n", "f3"):
            await it.press("n", key)
        assert it.line == "nnnnnn"


@pytest.mark.slow
async def test_night_has_the_line_without_a_night_and_after_one(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    async with opened(path, clock, "night") as it:
        await it.press("x")
        assert it.line == "x"
        await it.press("backspace", "f10", "ctrl+o", *"note a", "enter")
        await it.press("escape", "f10", "ctrl+o")
        await it.press("s")
        assert it.line == "s"


async def test_every_page_asks_only_of_keys_it_has(by_night: Path, clock: Clock) -> None:
    """A key that is asked about is one of the page's own."""
    async with opened(by_night, clock, "night") as it:
        for page in it.app.query(Page):
            for key in "abcdefghijklmnopqrstuvwxyz":
                assert not page.question_before(key) or page.takes(key)
