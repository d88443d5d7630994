"""F8 says what it takes back, takes only what this run saved, and asks before going further."""

from datetime import timedelta
from pathlib import Path

import pytest

from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, UpkeepDone
from logbook.screen.pages.kit.jobs import rename
from logbook.screen.pages.kit.part_form import _add
from logbook.screen.services.jobs import end_night, first_clause
from logbook.screen.services.messages import JobWanted
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import begin_night, build_book, opened

UPKEEP = "upkeep Filter wheel: cleaned"


def old_book(path: Path, clock: Clock) -> Path:
    """With upkeep by day, saved a while ago by another run of the program."""
    build_book(path, clock)
    with open_book(path, clock=clock) as book:
        at = EVENING - timedelta(days=20)
        clock.now = at
        done = UpkeepDone("cleaned", "Filter wheel")
        book.timeline.keep(None, NewEntry("upkeep", at, UPKEEP, upkeep=done))
        clock.now = EVENING
    return path


async def test_f8_by_day_asks_before_it_takes_back_what_is_old(tmp_path: Path) -> None:
    clock = Clock()
    path = old_book(tmp_path / "logbook.db", clock)
    async with opened(path, clock, "upkeep") as it:
        await it.press("f8")
        asked = " ".join(it.words(".sheet").replace("│", " ").split())
        assert f"The last thing saved was “{UPKEEP}”, on 14 Sep 2025." in asked
        await it.press("f8", "f8")  # the key that led here answers nothing
        await it.press("escape")
        assert [each.content.text for each in it.book.timeline.of_night(None)] == [UPKEEP]
        await it.press("f8")
        await it.press("y")
        assert it.book.timeline.of_night(None) == ()
        assert f"Taken back: {UPKEEP}" in it.said
        await it.press("ctrl+y")
        assert [each.content.text for each in it.book.timeline.of_night(None)] == [UPKEEP]
        assert f"Done again: {UPKEEP}" in it.said


async def test_f8_takes_back_a_part_that_was_saved_last(tmp_path: Path) -> None:
    clock = Clock()
    path = old_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    async with opened(path, clock, "kit") as it:
        await it.enter("seeing 3/5")
        it.app.post_message(JobWanted(_add(Part("Copy2", "extension ring"))))
        await it.settle()
        await it.press("f8")
        assert "Taken back: extension ring Copy2." in it.said
        assert [each.content.text for each in it.timeline] == ["seeing 3/5"]
        await it.press("f8")
        assert "Taken back: seeing 3/5 · 21:00." in it.said
        assert it.timeline == ()


async def test_f8_says_the_first_clause_of_what_was_said(tmp_path: Path) -> None:
    clock = Clock()
    path = old_book(tmp_path / "logbook.db", clock)
    async with opened(path, clock, "kit") as it:
        train = it.book.kit.train_named("Long train")
        it.app.post_message(JobWanted(rename(train, "R. Quill 8.1")))
        await it.settle()
        assert "is called R. Quill 8.1 now. A search finds both names." in it.said
        await it.press("f8")
        said = " ".join(it.said.split())
        words = "Long train is called R. Quill 8.1 now. ctrl+y does it again."
        assert said == f"Taken back: {words}"
        await it.press("ctrl+y")
        assert it.said == "Done again: Long train is called R. Quill 8.1 now."


@pytest.mark.parametrize(
    ("said", "clause"),
    [
        ("Kept: train Wide. e changes it.", "train Wide"),
        ("Kept: Wide is retired. f lists what is, and x brings it back.", "Wide is retired"),
        ("Kept in the running order: M 31 is out.", "M 31 is out"),
        ("note: wind from the west. Cold.", "note: wind from the west. Cold"),
        ("seeing 3/5 · 21:00", "seeing 3/5 · 21:00"),
    ],
)
def test_only_what_a_message_says_first_is_what_was_saved(said: str, clause: str) -> None:
    assert first_clause(said) == clause


async def test_f8_after_the_start_of_a_night_leaves_no_empty_night(tmp_path: Path) -> None:
    clock = Clock()
    path = old_book(tmp_path / "logbook.db", clock)
    async with opened(path, clock, "choose") as it:
        await it.press("f10", "enter")
        assert [each.entries for each in it.app.desk.view.nights] == [0]
        await it.press("f8")
        assert "Taken back: the start of the night of 2025-10-04." in it.said
        assert it.app.desk.view.night is None
        assert [each.entries for each in it.app.desk.view.nights] == []


async def test_f8_after_the_end_of_a_night_takes_it_up_again(tmp_path: Path) -> None:
    clock = Clock()
    path = old_book(tmp_path / "logbook.db", clock)
    night_id = begin_night(path, clock)
    async with opened(path, clock, "night") as it:
        last = (NewEntry("note", EVENING, "dew on everything"),)
        it.app.post_message(JobWanted(end_night(night_id, EVENING + timedelta(hours=3), last)))
        await it.settle()
        assert it.book.nights.in_progress() is None
        await it.press("f8")
        assert "Taken back: the end of the night of 2025-10-04." in it.said
        assert it.book.nights.in_progress() is not None
        assert it.timeline == ()
        assert [each.content.text for each in it.book.timeline.of_night(None)] == [UPKEEP]


async def test_a_line_done_again_does_not_read_as_corrected(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    async with opened(path, clock, "night") as it:
        await it.enter("note calm")
        await it.press("f8")
        await it.press("ctrl+y")
        assert "calm" in it.page
        assert "(corrected)" not in it.page


async def test_without_anything_saved_f8_says_so(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    async with opened(path, clock, "night") as it:
        while it.book.units.take_back():
            pass
        await it.press("f8")
        assert "Nothing is left to take back." in it.said
