"""Enter that comes twice, in one write or under a glove, does once what it was pressed for."""

from collections.abc import Iterator
from os import kill
from pathlib import Path
from signal import SIGCONT, SIGSTOP

import pytest

from logbook.screen.widgets.question import Question
from tests.clock import Clock
from tests.screen.book_on_screen import begin_night, build_book, opened
from tests.screen.choosing import choosing
from tests.screen.keys_sent import ENTER, F2, F10, ctrl
from tests.screen.killing import book_with_a_night
from tests.screen.terminal import Terminal, quiet_environment


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(autouse=True)
def slow_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """What comes twice at once may take its time to be sent here."""
    monkeypatch.setattr("logbook.screen.widgets.unseen.BOUNCE_S", 600.0)


@pytest.mark.slow
async def test_an_object_in_the_list_ends_the_running_one_only_after_a_question(
    tmp_path: Path,
) -> None:
    async with choosing(tmp_path) as it:
        await it.press("f10", "ctrl+o")
        await it.enter("start m42")
        await it.press("f2", "enter", "enter", "enter")
        assert isinstance(it.app.screen, Question)
        assert [each.content.text for each in it.timeline] == ["start m42"]
        await it.press("escape", "enter", "y")
        assert len(it.timeline) == 2
        assert it.timeline[1].content.action == "start"


async def test_enter_on_an_object_leaves_a_line_that_is_half_typed(tmp_path: Path) -> None:
    async with choosing(tmp_path) as it:
        await it.press(*"zz note", "ctrl+t")
        it.app.action_turn_to("choose")
        await it.settle()
        page = it.app.parts.pages.in_view()
        assert page is not None
        page.take_focus()
        await it.press("enter")
        assert it.line == "zz note"
        assert "still holds what was typed" in it.said


async def test_enter_that_comes_twice_to_an_object_starts_nothing(tmp_path: Path) -> None:
    async with choosing(tmp_path) as it:
        await it.press("f10", "ctrl+o", "f2", "enter", "enter")
        assert it.line.startswith("start ")
        assert not it.timeline


async def test_a_standing_line_waits_for_an_enter_of_its_own_after_a_form(
    tmp_path: Path, clock: Clock
) -> None:
    path = build_book(tmp_path / "logbook.db", clock)
    async with opened(path, clock, "night") as it:
        await it.press(*"note standing", "f10", "enter", "enter")
        assert it.app.desk.view.night is not None
        assert not it.timeline
        assert it.line == "note standing"
        await it.press("end", "enter")
        assert [each.content.text for each in it.timeline] == ["note standing"]


async def test_a_standing_line_waits_after_the_search_of_actions_too(
    tmp_path: Path, clock: Clock
) -> None:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    async with opened(path, clock, "night") as it:
        await it.press(*"note standing", "ctrl+p", *"red night", "enter", "enter")
        assert len(it.app.screen_stack) == 1
        assert it.line == "note standing"
        assert not it.timeline


# --- in one write to a terminal ---


@pytest.fixture
def program(tmp_path: Path) -> Iterator[Terminal]:
    arguments = ["-m", "logbook", "--book", str(book_with_a_night(tmp_path))]
    with Terminal(arguments, environment=quiet_environment(tmp_path)) as it:
        it.wait_for("Nothing runs")
        yield it


def in_one_write(it: Terminal, keys: str) -> None:
    kill(it.pid, SIGSTOP)
    it.press(keys)
    kill(it.pid, SIGCONT)


def test_the_night_ended_and_begun_twice_in_one_write_logs_no_standing_line(
    program: Terminal,
) -> None:
    program.press("note standing")
    program.wait_for("Enter logs: note: standing")
    program.press(F10)
    program.wait_for("End the night")
    program.press(ctrl("o"))
    program.wait_for("has ended")
    program.wait_for("▸ note standing")
    in_one_write(program, F10 + ENTER + ENTER)
    program.wait_for("has begun")
    assert "▸ note standing" in program.text
    program.press(ctrl("u") + "note other" + ENTER)
    program.wait_for("Kept: note: other")
    assert "note: standing" not in program.text


@pytest.mark.slow
def test_a_line_that_is_too_long_is_saved_only_once_that_was_said(program: Terminal) -> None:
    in_one_write(program, f"note {'x' * 2100}{ENTER}")
    program.wait_for("105 characters not taken: a line takes 2,000.")
    program.wait_for("Enter again logs what stands.")
    assert "Kept" not in program.text


def test_enter_twice_in_one_write_to_the_list_asks_before_the_running_object_is_ended(
    program: Terminal,
) -> None:
    program.press(f"start m31{ENTER}")
    program.wait_for("Kept: Andromeda Galaxy started")
    program.press(F2)
    program.wait_for("never observed")  # of the object at the top of the list
    in_one_write(program, ENTER + ENTER + ENTER)
    program.wait_for("Y: start it")
    assert "Andromeda Galaxy is running. End it and start" in program.text
