"""The entry line: nothing half typed is lost, and nothing is shown that isn't so."""

import sqlite3
import threading
from concurrent.futures import wait
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual import events

from logbook.entryline.waiting_line import WaitingLine, read_draft_line
from logbook.errors import NotWritten
from logbook.screen.app.app import LogbookApp
from logbook.screen.pages.screws.page import ScrewsPage
from logbook.screen.services import jobs
from logbook.screen.services.messages import JobWanted
from logbook.screen.widgets.entry_bar import DRAFT_PLACE, EntryBar
from logbook.store.book import Book
from logbook.store.file.window import Window
from logbook.store.opening import open_book
from logbook.store.timeline.timeline import Timeline
from logbook.store.writer import DraftKeeper, Writer
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import NoSky, OnScreen, begin_night, build_book, opened
from tests.screen.quiet import settled


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    return path


def keys(text: str) -> list[str]:
    return ["space" if each == " " else each for each in text]


async def wait_for_draft(screen: OnScreen, *wanted: str) -> None:
    for _ in range(3000):  # patience for a busy machine
        drafts = screen.book.drafts.at(DRAFT_PLACE)
        if sorted(read_draft_line(each).text for each in drafts) == sorted(wanted):
            return
        await screen.pilot.pause(0.01)
    raise AssertionError(f"the draft never became {wanted!r}")


async def test_what_was_understood_is_said_before_enter(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *"sieing", "space", "3")
        assert "seeing 3 of 5" in screen.said
        assert screen.timeline == ()
        await screen.press("enter")
        assert screen.said.startswith("Kept: seeing 3 of 5")
        assert screen.line == ""
        assert len(screen.timeline) == 1


async def test_a_turn_kept_by_a_page_leaves_the_half_typed_line_and_its_draft(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "screws") as screen:
        await screen.press("ctrl+t", *"note", "space", *"wi")
        await wait_for_draft(screen, "note wi")
        screen.app.query_one(ScrewsPage).focus()  # as a click does
        await screen.press("right")
        await screen.turned()
        assert len(screen.timeline) == 1
        assert screen.line == "note wi"
        assert screen.book.drafts.at(DRAFT_PLACE) == ("note wi",)


async def test_a_line_of_a_page_that_fails_does_not_replace_what_is_typed(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *"note", "space", *"wi")
        await screen.enter("humidity 140")
        assert screen.line == "note wi"
        assert "not possible" in screen.said


async def test_a_line_that_cannot_be_written_stays_on_the_line(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise NotWritten("Not written: the disk is full. What was typed is still here.")

    async with opened(book_path, clock, "night") as screen:
        monkeypatch.setattr(Timeline, "keep", full)
        await screen.press("ctrl+t", *"note", "space", *"wind", "enter")
        assert screen.line == "note wind"
        assert "the disk is full" in screen.said
        await wait_for_draft(screen, "note wind")
        monkeypatch.undo()
        await screen.press("enter")
        assert screen.line == ""
        assert len(screen.timeline) == 1


async def test_the_draft_of_last_time_is_back(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *"note", "space", *"the")
        await wait_for_draft(screen, "note the")
    async with opened(book_path, clock, "night") as screen:
        assert screen.line == "note the"


async def test_two_programs_on_one_book_do_not_write_over_what_is_half_typed_in_the_other(
    book_path: Path, clock: Clock
) -> None:
    async with (
        opened(book_path, clock, "night") as one,
        opened(book_path, clock, "night") as other,
    ):
        await one.press("ctrl+t", *"note", "space", *"wi")
        await wait_for_draft(one, "note wi")
        await other.press("ctrl+t", *"air", "space", *"4")
        await wait_for_draft(one, "note wi", "air 4")
        await other.press("enter")
        await wait_for_draft(one, "note wi")


async def test_up_brings_the_last_line_back_and_tab_completes(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *"air", "space", *"4.2", "enter")
        await screen.press("up")
        assert screen.line == "air 4.2"
        bar = screen.app.query_one(EntryBar)
        bar.restore("kit Sho")
        await screen.press("tab")
        assert screen.line == "kit Short train"


@pytest.mark.parametrize("hostile", ["[/x]", "[red]", "\x1b[31m", "‮evil", "x" * 3000])
async def test_hostile_text_is_only_text(hostile: str, book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.enter(f"note {hostile}")
        assert "\x1b" not in screen.page
        assert "‮" not in screen.page
        screen.app.action_turn_to("past")
        await screen.press("enter")
        assert "\x1b" not in screen.words("#live-body")


async def test_what_is_kept_is_there_at_once_for_another_program(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.enter("note from here")
        with sqlite3.connect(book_path) as other:
            assert other.execute("SELECT count(*) FROM entry").fetchone() == (1,)
        other.close()


async def test_a_night_left_open_takes_no_entries_of_the_next(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.enter("air 4.2")
        left_open = screen.app.desk.view.night
        assert left_open is not None
        last = clock()
        clock.forward(hours=25)
        screen.app.action_turn_to("night")
        await screen.settle()
        assert "left open" in screen.page
        await screen.enter("air 3.1")
        assert "was left open" in screen.said
        assert len(screen.timeline) == 1
        await screen.press("f10", "enter")
        assert screen.book.nights.get(left_open.id).ended_utc == last
        await screen.press("f10", "enter")
        await screen.enter("air 3.1")
        begun = screen.app.desk.view.night
        assert begun is not None
        assert begun.local_date > left_open.local_date
        assert len(screen.timeline) == 1


async def test_upkeep_of_the_day_after_goes_to_no_night(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "night") as screen:
        clock.forward(hours=20)
        await screen.enter("upkeep Small Chip: dusted")
        assert screen.timeline == ()
        (entry,) = screen.book.timeline.of_night(None)
        assert entry.content.kind == "upkeep"
        assert " · in no night" in screen.said


async def test_a_worker_that_fails_is_told_and_its_details_kept(
    book_path: Path, clock: Clock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    async with opened(book_path, clock, "night") as screen:
        monkeypatch.setattr(NoSky, "tonight", lambda *_: 1 / 0)
        screen.app.parts.sky.work_out()
        while "ZeroDivisionError" not in screen.said:
            await screen.pilot.pause(0.01)
    (log,) = (tmp_path / "state").rglob("crash-*.txt")
    assert "ZeroDivisionError" in log.read_text(encoding="utf-8")


async def test_a_damaged_book_is_told_at_the_start(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Book, "whole_check", lambda _: "The book is damaged: page 7.")
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *"note fox")
        assert "damaged" in screen.words("#warning")
        await screen.press("enter")
        assert "damaged" in screen.words("#warning")
        await screen.press("escape")
        assert not screen.app.query_one("#warning").display


async def typed_while_the_disk_is_slow(screen: OnScreen, lines: tuple[str, ...], rest: str) -> None:
    """Enter lines one after another and half type another before the first is on disk."""
    writer = screen.app.desk.writer
    assert writer is not None
    disk = threading.Event()
    writer.submit(disk.wait)
    await screen.press_while_disk_is_slow("ctrl+t")
    for line in lines:
        screen.app.query_one(EntryBar).restore(line)
        await screen.press_while_disk_is_slow("enter")
        assert screen.line == ""
    screen.app.query_one(EntryBar).restore(rest)
    await settled(screen.app)
    disk.set()
    await screen.settle()
    await screen.settle()


async def test_lines_entered_faster_than_the_disk_are_kept_one_by_one(
    book_path: Path, clock: Clock
) -> None:
    """`better` belongs to the turn before it, so it is understood once that one is saved."""
    lines = ("turn A tighten 1/8", "better", "note calm")
    async with opened(book_path, clock, "night") as screen:
        await typed_while_the_disk_is_slow(screen, lines, "note thr")
        turn, note = (each.content for each in screen.timeline)
        assert turn.turn is not None
        assert (turn.turn.result, note.text) == ("better", "note calm")
        assert screen.line == "note thr"
        await wait_for_draft(screen, "note thr")


async def test_nothing_typed_after_a_line_that_failed_is_lost(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise NotWritten("Not written: the disk is full. What was typed is still here.")

    async with opened(book_path, clock, "night") as screen:
        monkeypatch.setattr(Timeline, "keep", full)
        await typed_while_the_disk_is_slow(screen, ("note one", "note two"), "note thr")
        assert screen.line == "note one"
        assert "the disk is full" in screen.said
        assert screen.words("#waiting") == "2 more lines wait: one Enter each."
        await wait_for_draft(screen, "note one", "note two", "note thr")
        monkeypatch.undo()
        await screen.press("enter")
        assert [each.content.text for each in screen.timeline] == ["note one"]
        assert screen.line == "note two"
        assert "Enter logs: note: note two" in screen.said or "Enter logs: note: two" in screen.said
        await screen.press("enter")
        assert screen.words("#waiting") == ""
        await screen.press("enter")
        texts = [each.content.text for each in screen.timeline]
        assert texts == ["note one", "note two", "note thr"]
        assert screen.line == ""
        await wait_for_draft(screen)


async def test_what_is_typed_is_never_joined_to_a_line_that_came_by_itself(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise NotWritten("Not written: the disk is full. What was typed is still here.")

    async with opened(book_path, clock, "night") as screen:
        monkeypatch.setattr(Timeline, "keep", full)
        await typed_while_the_disk_is_slow(screen, ("note one",), "")
        assert screen.line == "note one"
        monkeypatch.undo()
        await screen.press(*"note", "space", *"two", "enter")
        assert [each.content.text for each in screen.timeline] == ["note two"]
        assert screen.line == "note one"
        await screen.press("end", "space", *"more", "ctrl+j")
        texts = [each.content.text for each in screen.timeline]
        assert texts == ["note two", "note one more"]


async def test_lines_entered_while_the_disk_is_slow_happened_at_their_enter(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        writer = screen.app.desk.writer
        assert writer is not None
        disk, entered = threading.Event(), list[datetime]()
        writer.submit(disk.wait)
        await screen.pilot.press("ctrl+t")
        for line in ("note one", "note two"):
            screen.app.query_one(EntryBar).restore(line)
            await screen.pilot.press("enter")
            entered.append(clock())
            clock.forward(minutes=5)
        disk.set()
        await screen.settle()
        await screen.settle()
        assert [each.content.happened_utc for each in screen.timeline] == entered


async def test_after_enter_no_preview_stays_of_the_line_that_is_on_its_way(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        writer = screen.app.desk.writer
        assert writer is not None
        disk = threading.Event()
        writer.submit(disk.wait)
        await screen.pilot.press("ctrl+t")
        for line in ("note one", "note two"):
            screen.app.query_one(EntryBar).restore(line)
            await screen.pilot.pause()
            assert screen.said.startswith("Enter logs: ")
            await screen.pilot.press("enter")
            await screen.pilot.pause()
            assert screen.said.strip() == "Saving …"
        disk.set()
        await screen.settle()
        await screen.settle()
        assert screen.said.startswith("Kept: note: two")


async def test_a_line_that_was_saved_is_no_draft_however_fast_the_disk_is(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its draft ends in the writer's thread, where no draft is put between the two."""
    submit, threads = Writer.submit, list[str]()

    def at_once(writer: Writer, job: Any, /, *args: Any) -> Any:
        future = submit(writer, job, *args)
        wait([future])
        return future

    class Noting(DraftKeeper):
        def saved(self, place: str) -> None:
            threads.append(threading.current_thread().name)
            super().saved(place)

    monkeypatch.setattr("logbook.store.writer.DraftKeeper", Noting)
    async with opened(book_path, clock, "night") as screen:
        monkeypatch.setattr(Writer, "submit", at_once)
        await screen.press("ctrl+t", *"air", "space", *"4", "enter")
        assert len(screen.timeline) == 1
        assert threads == ["book writer"]


async def test_a_window_is_open_until_its_last_line_is_on_disk(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another start would take over the line that is being saved, and have it entered twice."""
    left, order = threading.Event(), list[str]()
    close, unmount = Window.close, LogbookApp.on_unmount

    def closing_window(window: Window) -> None:
        order.append("window")
        close(window)

    def leaving(app: LogbookApp) -> None:
        unmount(app)
        left.set()

    def saving() -> None:
        left.wait()
        order.append("line")

    monkeypatch.setattr(Window, "close", closing_window)
    monkeypatch.setattr(LogbookApp, "on_unmount", leaving)
    async with opened(book_path, clock, "night") as screen:
        assert screen.app.desk.writer is not None
        screen.app.desk.writer.submit(saving)
    assert order == ["line", "window"]


def end_the_night(screen: OnScreen) -> None:
    night = screen.app.desk.view.night
    assert night is not None
    end = jobs.end_night(night.id, EVENING + timedelta(hours=3))
    screen.app.post_message(JobWanted(end))


async def test_the_end_of_a_night_is_said_while_its_copy_is_still_made(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk = threading.Event()

    def slow_copy(*_: object) -> str:
        disk.wait()
        return "A copy lies there."

    monkeypatch.setattr(jobs, "_copy_words", slow_copy)
    async with opened(book_path, clock, "night") as screen:
        end_the_night(screen)
        while "has ended" not in screen.said:
            await screen.pilot.pause(0.01)
        assert "copy" not in screen.said
        screen.app.query_one(EntryBar).enter("note packed")  # the writer is free for the next line
        while "Kept: note: packed" not in screen.said:
            await screen.pilot.pause(0.01)
        disk.set()
        await screen.settle()
        assert "Kept: note: packed" in screen.said
        assert screen.said.endswith("\nA copy lies there.")


async def test_a_copy_that_fails_takes_nothing_back_from_what_was_said(
    book_path: Path, clock: Clock, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr(jobs, "_copy_words", lambda *_: 1 / 0)
    async with opened(book_path, clock, "night") as screen:
        end_the_night(screen)
        await screen.settle()
        assert "has ended. ZeroDivisionError." in " ".join(screen.said.split())
        assert "Not saved" not in screen.said


async def test_a_preview_says_what_enter_would_do_and_goes_with_the_line(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        idle = screen.said
        await screen.press("ctrl+t", *"mirror", "space", "8")
        assert screen.said.startswith("Enter logs: mirror 8 °C")
        await screen.press("ctrl+u")
        assert screen.line == ""
        assert screen.said == idle


async def test_a_line_without_a_known_word_is_no_note_yet_before_enter(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *"hazy")
        assert screen.said.startswith("Enter logs: note: hazy")
        assert "as a note: no known first word" in screen.said
        assert "kept" not in screen.said


async def test_where_enter_would_be_refused_it_is_said_before_enter(
    tmp_path: Path, clock: Clock
) -> None:
    path = build_book(tmp_path / "by-day.db", clock)
    async with opened(path, clock, "choose") as screen:
        screen.app.query_one(EntryBar).restore("start m31")
        await screen.settle()
        assert screen.said.startswith("Enter would not log this: no night is in progress.")
        assert "F10" in screen.said
        screen.app.query_one(EntryBar).restore("note fog")
        await screen.settle()
        assert " · in no night" in screen.said


async def test_words_of_a_refusal_stay_until_the_line_changes(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise NotWritten("Not written: the disk is full. What was typed is still here.")

    async with opened(book_path, clock, "night") as screen:
        monkeypatch.setattr(Timeline, "keep", full)
        await screen.press("ctrl+t", *"note", "space", *"wind", "enter")
        screen.app.query_one(EntryBar).lines.understand_again()
        assert "the disk is full" in screen.said
        await screen.press("y")
        assert screen.said.startswith("Enter logs:")


def pasted(screen: OnScreen, text: str) -> None:
    screen.app.query_one(EntryBar).line.post_message(events.Paste(text))


async def test_every_pasted_line_is_there_and_the_rest_of_the_line_stays(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *"at", "space")
        pasted(screen, "22:15 seeing 3/5\r\n\r\n\tair 4.2\nnote \x1b[31mfog\n")
        await screen.settle()
        assert screen.line == "at 22:15 seeing 3/5"
        assert screen.words("#waiting") == "2 more lines wait: one Enter each."
        await wait_for_draft(screen, "at 22:15 seeing 3/5", " air 4.2", "note [31mfog")


async def test_a_long_paste_keeps_what_fits_and_says_what_was_not_taken(
    book_path: Path, clock: Clock
) -> None:
    words = " ".join(f"w{number:05}" for number in range(400))  # 2,799 characters
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t")
        pasted(screen, "\n".join([words, *(f"note {each}" for each in range(110))]))
        await screen.settle()
        assert words.startswith(screen.line)
        assert 1990 < len(screen.line) <= 2000
        assert screen.line[-6:-5] == "w"  # no word is cut
        waiting = " ".join(screen.words("#waiting").split())
        assert waiting.startswith("100 more lines wait")
        assert f"{2799 - len(screen.line):,} characters not taken" in waiting
        assert "10 pasted lines not taken" in waiting


async def test_a_full_line_says_so(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "night") as screen:
        screen.app.query_one(EntryBar).restore(f"note {'x' * 1995}")
        screen.app.query_one(EntryBar).line.focus()
        await screen.settle()
        await screen.press("y")
        assert len(screen.line) == 2000
        assert screen.words("#waiting") == "1 character not taken: a line takes 2,000."
        await screen.press("enter")
        assert len(screen.line) == 2000
        assert screen.words("#waiting").endswith("Enter again logs what stands.")
        assert not screen.timeline
        await screen.press("end", "enter")
        assert [len(each.content.text) for each in screen.timeline] == [2000]
        assert screen.words("#waiting") == ""


async def test_enter_on_an_empty_line_brings_the_next_that_waits(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t")
        pasted(screen, "note one\nair 4.2")
        await screen.settle()
        await screen.press("ctrl+u", "enter")
        assert screen.line == "air 4.2"
        assert screen.timeline == ()
        assert screen.said.startswith("Enter logs: air 4.2")


def nothing_is_written(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object, **__: object) -> None:
        raise NotWritten("Not written: the disk is full. What was typed is still here.")

    monkeypatch.setattr(Timeline, "keep", full)


def in_a_row(screen: OnScreen) -> str:
    return " ".join(screen.said.split())


def happened(screen: OnScreen) -> list[tuple[str, datetime]]:
    return [(each.content.text, each.content.happened_utc) for each in screen.timeline]


async def test_a_line_that_came_back_bears_the_time_of_its_first_enter_and_says_so(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book_path, clock, "night") as screen:
        nothing_is_written(monkeypatch)
        await screen.press("ctrl+t", *keys("note one"), "enter")
        first = clock()
        clock.forward(minutes=10)
        await screen.press("enter")
        assert "the disk is full" in in_a_row(screen)
        monkeypatch.undo()
        clock.forward(minutes=10)
        await screen.press("end")
        await screen.press("enter")
        assert happened(screen) == [("note one", first)]
        assert screen.said.startswith("Kept: ")
        assert "21:00 CEST, 19:00 UTC · at its first Enter" in in_a_row(screen)


async def test_a_line_that_came_back_and_was_changed_is_of_now_and_says_so(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book_path, clock, "night") as screen:
        nothing_is_written(monkeypatch)
        await screen.press("ctrl+t", *keys("note one"), "enter")
        monkeypatch.undo()
        clock.forward(minutes=10)
        await screen.press("end", *keys(" more"))
        assert "21:10 CEST, 19:10 UTC · now, not at its first Enter, 21:00" in in_a_row(screen)
        await screen.press("enter")
        assert happened(screen) == [("note one more", clock())]
        nothing_is_written(monkeypatch)
        await screen.press(*keys("note two"), "enter")
        monkeypatch.undo()
        clock.forward(minutes=10)
        await screen.press("end", *"!", "backspace")
        assert "· at its first Enter" in in_a_row(screen)


async def test_a_line_that_says_when_it_happened_says_nothing_of_its_enter(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book_path, clock, "night") as screen:
        nothing_is_written(monkeypatch)
        await screen.press("ctrl+t", *keys("at 20:50 note one"), "enter")
        monkeypatch.undo()
        clock.forward(minutes=10)
        await screen.press("end", "enter")
        assert happened(screen) == [("at 20:50 note one", clock() - timedelta(minutes=20))]
        assert "first Enter" not in in_a_row(screen)


async def test_a_line_that_was_asked_about_tells_its_first_enter_once_it_is_mended(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "night") as screen:
        await screen.press("ctrl+t", *keys("turn A"), "enter")
        clock.forward(minutes=5)
        await screen.press(*keys(" tighten 1/8"))
        assert "now, not at its first Enter, 21:00" in in_a_row(screen)


async def test_a_line_refused_for_want_of_a_night_bears_its_enter_once_there_is_one(
    tmp_path: Path, clock: Clock
) -> None:
    path = build_book(tmp_path / "no-night.db", clock)
    async with opened(path, clock, "night") as screen:
        await screen.press("ctrl+t", *keys("air 4.2"), "enter")
        assert "no night is in progress" in in_a_row(screen)
        first = clock()
        clock.forward(minutes=10)
        await screen.press("f10", "ctrl+o", "ctrl+t")
        assert screen.line == "air 4.2"
        await screen.press("enter")
        assert happened(screen) == [("air 4.2", first)]


async def test_escape_and_up_leave_the_time_and_what_is_typed_anew_is_of_now(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(book_path, clock, "night") as screen:
        nothing_is_written(monkeypatch)
        await screen.press("ctrl+t", *keys("note one"), "enter")
        first = clock()
        monkeypatch.undo()
        clock.forward(minutes=10)
        await screen.press("escape", "up", "enter", "up", "enter")
        assert happened(screen) == [("note one", first), ("note one", clock())]
        nothing_is_written(monkeypatch)
        await screen.press(*keys("note two"), "enter")
        monkeypatch.undo()
        clock.forward(minutes=10)
        await screen.press("escape", *keys("note two"), "enter")
        assert happened(screen)[-1] == ("note two", clock())


async def test_lines_that_waited_through_a_kill_bear_each_the_time_of_its_enter(
    book_path: Path, clock: Clock
) -> None:
    """Two of the same words too; a line that Enter was not pressed on is of its own Enter."""
    first, second = clock(), clock() + timedelta(minutes=2)
    lines = (WaitingLine("note one", first), WaitingLine("note one", second), WaitingLine("calm"))
    with open_book(book_path, clock=clock) as book:
        book.drafts.put("ended", DRAFT_PLACE, [each.draft for each in lines])
    clock.forward(minutes=20)
    async with opened(book_path, clock, "night") as screen:
        assert screen.line == "note one"
        assert "21:00 CEST, 19:00 UTC · at its first Enter" in in_a_row(screen)
        await wait_for_draft(screen, "note one", "note one", "calm")
        await screen.press("ctrl+t", "enter", "enter", "enter")
        assert happened(screen) == [("note one", first), ("note one", second), ("calm", clock())]
        await wait_for_draft(screen)


async def test_a_line_of_a_night_before_goes_to_no_other_night(
    book_path: Path, clock: Clock
) -> None:
    line = WaitingLine("at 20:55 air 4.2", clock() - timedelta(hours=24))
    with open_book(book_path, clock=clock) as book:
        book.drafts.put("ended", DRAFT_PLACE, [line.draft])
    async with opened(book_path, clock, "night") as screen:
        for _ in range(2):
            await screen.press("ctrl+t", "enter")
            assert screen.timeline == ()
            assert screen.line == line.text
            assert "before the one in progress" in in_a_row(screen)
