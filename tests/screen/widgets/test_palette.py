"""The search of actions does nothing that was not chosen, and asks where the action's key asks."""

from pathlib import Path

import pytest

from logbook.screen.widgets.modal import Palette
from logbook.screen.widgets.question import Question
from tests.clock import Clock
from tests.screen.book_on_screen import begin_night, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_night(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    return path


@pytest.mark.parametrize("page", ["night", "kit", "choose"])
async def test_enter_with_nothing_chosen_does_nothing(
    by_night: Path, clock: Clock, page: str
) -> None:
    async with opened(by_night, clock, page) as it:
        await it.enter("note first")
        await it.press("ctrl+p", "enter", "enter", "enter")
        assert isinstance(it.app.screen, Palette)
        assert [each.content.text for each in it.timeline] == ["note first"]
        await it.press("escape")
        assert len(it.app.screen_stack) == 1


async def test_a_letter_or_an_arrow_chooses(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "kit") as it:
        await it.press("ctrl+p", *"became", "enter")
        assert not isinstance(it.app.screen, Palette)
        await it.press("escape", "escape", "ctrl+p", "down", "enter")
        assert not isinstance(it.app.screen, Palette)


async def test_an_action_that_writes_is_asked_about_with_another_key(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press("ctrl+p", *"break", "enter")
        assert isinstance(it.app.screen, Question)
        await it.press("enter", "enter")
        assert not it.timeline
        await it.press("y")
        assert [each.content.text for each in it.timeline] == ["break"]
