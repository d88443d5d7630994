"""A night that is over is corrected, added to and withdrawn from on the Past page."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.records.entries import EntryRecord, NewEntry, TargetCopy
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.widgets.test_red import leaks

GALAXY = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)
SIZES = [(80, 24), (120, 40)]


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def over(tmp_path: Path, clock: Clock) -> Path:
    """One night from 21:00 to 01:00, of three entries."""
    path = build_book(tmp_path / "night.db", clock)
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        start = NewEntry("object", clock.forward(minutes=10), "start m31", "start", GALAXY)
        book.timeline.keep(night_id, start)
        seeing = (("seeing_of_five", 3.0),)
        entry = NewEntry("conditions", clock.forward(minutes=10), "seeing 3/5", readings=seeing)
        book.timeline.keep(night_id, entry)
        book.timeline.keep(night_id, NewEntry("note", clock.forward(minutes=10), "note lens cap"))
        book.nights.end(night_id, EVENING + timedelta(hours=4))
    return path


def entries(it: OnScreen) -> tuple[EntryRecord, ...]:
    return it.book.timeline.of_night(it.book.past.places()[0].id)


def texts(it: OnScreen) -> list[str]:
    return [each.content.text for each in entries(it)]


async def type_line(it: OnScreen, line: str) -> None:
    it.app.screen.query_one("#field-line", Input).value = line
    await it.settle()


@pytest.mark.parametrize("later", [{"hours": 18}, {"days": 366}], ids=["next day", "next year"])
async def test_a_line_is_added_to_a_night_that_is_over(
    over: Path, clock: Clock, later: dict[str, float]
) -> None:
    clock.forward(**later)
    async with opened(over, clock, "past") as it:
        await it.press("enter", "e", "n")
        assert "A line for the night of Saturday 4 October 2025, Mill Hill" in it.words(".sheet")
        assert "Europe/Vienna" in it.words(".sheet")
        await type_line(it, "at 0:20 seeing 1/5")
        assert "00:20 CEST, 22:20 UTC" in it.words("#said-line")
        await it.press("enter")
        assert "Added to the night of 2025-10-04: seeing 1 of 5" in it.words("#live-top")
        assert "00:20 seeing 1 of 5" in it.words("#live-list")
        assert "typed: at 0:20 seeing 1/5" in it.words("#live-about")
        assert texts(it)[-1] == "at 0:20 seeing 1/5"
        assert entries(it)[-1].content.happened_utc == datetime(2025, 10, 4, 22, 20, tzinfo=UTC)
        assert it.book.nights.count() == 1
        assert it.book.nights.in_progress() is None


@pytest.mark.parametrize("line", ["seeing 1/5", "at 25:00 seeing 1/5"])
async def test_a_line_without_a_time_of_that_night_stays_in_the_form(
    over: Path, clock: Clock, line: str
) -> None:
    clock.forward(days=3)
    async with opened(over, clock, "past") as it:
        await it.press("e", "n")
        await type_line(it, line)
        await it.press("enter")
        assert it.app.screen.query_one("#field-line", Input).value == line
        assert len(entries(it)) == 3


async def test_a_time_outside_the_night_is_asked_about(over: Path, clock: Clock) -> None:
    clock.forward(days=3)
    async with opened(over, clock, "past") as it:
        await it.press("e", "n")
        await type_line(it, "at 15:00 air 12")
        await it.press("enter")
        assert "15:00 is before that night began, at 21:00." in it.words(".sheet")
        await it.press("enter", "escape")
        assert len(entries(it)) == 3
        assert it.app.screen.query_one("#field-line", Input).value == "at 15:00 air 12"
        await it.press("enter", "y")
        assert texts(it)[0] == "at 15:00 air 12"


async def test_an_entry_is_corrected_and_its_history_kept(over: Path, clock: Clock) -> None:
    clock.forward(days=3)
    async with opened(over, clock, "past") as it:
        await it.press("e", "down", "e")
        assert "Correct an entry of the night of 2025-10-04" in it.words(".sheet")
        assert it.app.screen.query_one("#field-line", Input).value == "at 21:20 seeing 3/5"
        await type_line(it, "at 21:20 seeing 1/5")
        await it.press("enter")
        assert "21:20 seeing 1 of 5" in it.words("#live-list")
        assert "(corrected)" in it.words("#live-list")
        assert entries(it)[1].content.happened_utc == EVENING + timedelta(minutes=20)
        await it.press("h")
        history = it.words(".sheet")
        assert "written  for 21:20: seeing 3 of 5" in history
        assert "corrected  for 21:20: seeing 1 of 5" in history


async def test_f8_takes_back_the_correction_made_here_and_nothing_older(
    over: Path, clock: Clock
) -> None:
    """What another night or day holds was saved by an earlier run: that is asked about."""
    clock.forward(days=3)
    with open_book(over, clock=clock) as book:
        book.timeline.keep(None, NewEntry("note", clock(), "note rinsed the tube"))
    async with opened(over, clock, "past") as it:
        before = texts(it)
        await it.press("e", "down", "e")
        await type_line(it, "at 21:20 seeing 5/5")
        await it.press("enter")
        assert texts(it)[1] == "at 21:20 seeing 5/5"
        await it.press("f8")
        assert texts(it) == before
        assert "Taken back: the correction of seeing 3/5" in " ".join(it.words(".sheet").split())
        await it.press("f8")
        asked = " ".join(it.words(".sheet").replace("│", " ").split())
        assert "The last thing saved was “note rinsed the tube" in asked
        await it.press("escape")
        assert texts(it) == before
        assert len(it.book.timeline.of_night(None)) == 1


async def test_a_correction_without_its_time_is_no_line_of_today(over: Path, clock: Clock) -> None:
    clock.forward(days=3)
    async with opened(over, clock, "past") as it:
        await it.press("e", "down", "enter")
        await type_line(it, "seeing 1/5")
        assert "not in the night of 2025-10-04" in " ".join(it.words("#said-line").split())
        await it.press("enter", "escape")
        assert texts(it)[1] == "seeing 3/5"


async def test_a_correction_to_a_time_outside_the_night_is_asked_about(
    over: Path, clock: Clock
) -> None:
    clock.forward(days=3)
    async with opened(over, clock, "past") as it:
        await it.press("e", "down", "e")
        await type_line(it, "at 5:00 seeing 3/5")
        await it.press("enter")
        assert "05:00 is after that night ended, at 01:00." in it.words(".sheet")
        await it.press("y")
        assert texts(it)[-1] == "at 5:00 seeing 3/5"


async def test_an_entry_is_withdrawn_after_a_question(over: Path, clock: Clock) -> None:
    clock.forward(days=3)
    async with opened(over, clock, "past") as it:
        await it.press("e", "end", "d")
        assert "Withdraw from the night of 2025-10-04?" in it.words(".sheet")
        assert "lens cap" in it.words(".sheet")
        await it.press("d", "escape")
        assert len(entries(it)) == 3
        await it.press("d", "enter")
        assert texts(it) == ["start m31", "seeing 3/5"]
        assert "lens cap" not in it.words("#live-list")
        await it.press("h")
        assert "Withdrawn from this night" in it.words(".sheet")
        assert "lens cap" in it.words(".sheet")


async def test_an_entry_is_moved_to_another_night(over: Path, clock: Clock) -> None:
    clock.forward(days=7)
    second = begin_night(over, clock)
    with open_book(over, clock=clock) as book:
        book.nights.end(second, clock.forward(hours=3))
    clock.forward(days=2)
    async with opened(over, clock, "past") as it:
        await it.press("down", "e", "end", "a")
        field = it.app.screen.query_one
        assert field("#field-at", Input).value == "21:30"
        assert field("#field-night", Input).value == "2025-10-04"
        field("#field-night", Input).value = "2025-10-11"
        await it.press("ctrl+o")
        assert "Moved to the night of 2025-10-11" in " ".join(it.words("#live-top").split())
        assert "lens cap" not in it.words("#live-list")
        moved = it.book.timeline.of_night(second)
        assert [each.content.text for each in moved] == ["at 21:30 note lens cap"]
        assert moved[0].content.happened_utc == datetime(2025, 10, 11, 19, 30, tzinfo=UTC)


async def test_the_entry_that_a_search_found_is_the_chosen_one(over: Path, clock: Clock) -> None:
    clock.forward(days=2)
    async with opened(over, clock, "past") as it:
        await it.press("slash", *"cap", "enter", "enter")
        assert it.words("#live-heading").startswith("Night of Saturday 4 October")
        await it.press("e")
        assert "typed: note lens cap" in it.words("#live-about")


async def test_the_page_that_was_read_shows_the_correction(over: Path, clock: Clock) -> None:
    clock.forward(days=2)
    async with opened(over, clock, "past", (120, 40)) as it:
        await it.press("enter", "e", "down", "e")
        await type_line(it, "at 21:20 seeing 1/5")
        await it.press("enter", "escape")
        assert "seeing 1 of 5 (corrected)" in it.words("#paper-rows")


async def test_a_line_typed_by_day_is_told_the_way_to_a_finished_night(
    over: Path, clock: Clock
) -> None:
    clock.forward(hours=16)
    async with opened(over, clock, "night") as it:
        await it.enter("seeing 1/5")
        said = " ".join(it.said.split())
        assert "no night is in progress. F10 starts one" in said
        assert "F6" in said


@pytest.mark.parametrize("size", SIZES)
async def test_all_of_it_is_red_in_the_red_view(
    over: Path, clock: Clock, size: tuple[int, int]
) -> None:
    clock.forward(days=2)
    async with opened(over, clock, "past", size) as it:
        await it.press("f7", "e")
        assert leaks(it.app) == []
        await it.press("n")
        assert leaks(it.app) == []
        await it.press("escape", "d")
        assert leaks(it.app) == []


async def test_a_wrong_night_of_a_move_is_said_beside_the_night(over: Path, clock: Clock) -> None:
    clock.forward(days=2)
    async with opened(over, clock, "past") as it:
        await it.press("e", "a")
        night = it.app.screen.query_one("#field-night", Input)
        night.value = "2025-10-05"
        await it.settle()
        assert "There is no night of 2025-10-05" in " ".join(it.words("#said-night").split())
        assert "no night" not in it.words("#said-at")
        await it.press("ctrl+o")
        assert it.app.screen.focused is night
        assert "no night" not in it.words("#said-at")


async def test_a_time_to_come_is_none_once_the_night_of_a_move_is_given(
    over: Path, clock: Clock
) -> None:
    clock.forward(days=7)
    begin_night(over, clock)
    async with opened(over, clock, "night") as it:
        await it.enter("note dew cap off")
        await it.press("escape", "a")
        field = it.app.screen.query_one
        field("#field-at", Input).value = "00:30"
        await it.settle()
        assert "00:30 is still to come" in " ".join(it.words("#said-at").split())
        field("#field-night", Input).value = "2025-10-04"
        await it.settle()
        assert " ".join(it.words("#said-at").split()) == "00:30 CEST, 22:30 UTC"
        await it.press("ctrl+o")
        assert texts(it)[-1] == "at 00:30 note dew cap off"
