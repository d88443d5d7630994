"""Frames from disk on the Night page: shown, added, watched, and never in the way of typing."""

import asyncio
from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.frames.header import read_frame
from logbook.screen.pages.night.frames import FrameLine
from logbook.screen.pages.night.frames_sheet import FramesSheet
from tests.clock import EVENING, Clock
from tests.frames.made_frames import write_frame, write_run
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.widgets.test_red import leaks

SIZES = [(60, 16), (80, 24), (120, 40)]
FIRST = EVENING + timedelta(minutes=30)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def path(tmp_path: Path, clock: Clock) -> Path:
    """A book with a night in progress, three hours on."""
    path = build_book(tmp_path / "night.db", clock)
    begin_night(path, clock)
    clock.forward(hours=3)
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "tonight"
    write_run(folder, 3, FIRST)
    write_frame(folder / "wrong.fits", FIRST, FILTER="OIII", XPIXSZ=9.0)
    (folder / "junk.fits").write_bytes(b"[bold]\x1b[2J")
    return folder


def folder_typed(it: OnScreen) -> str:
    """Whole, however narrow the field is."""
    return it.app.screen.query_one("#frames-folder", Input).value


async def read_folder(it: OnScreen, folder: Path) -> None:
    """From the page's list: the sheet, the folder, Enter."""
    await it.press("escape")
    await it.press("f")
    it.app.screen.query_one("#frames-folder", Input).value = str(folder)
    await it.press("enter")


@pytest.mark.parametrize("size", SIZES)
async def test_what_would_be_added_is_shown_at_every_size_and_red(
    path: Path, clock: Clock, folder: Path, size: tuple[int, int]
) -> None:
    async with opened(path, clock, "night", size) as it:
        await read_folder(it, folder)
        said = " ".join(it.words("#frames-said").split())
        assert said == "4 frames in 2 runs to add; 1 file not read."
        sheet = " ".join(it.words(".sheet").split())
        assert "2025-10-04 Andromeda Galaxy (by name): 3 × 180 s Ha" in sheet
        assert "Enter: add" in sheet
        assert it.timeline == ()
        await it.press("f7")
        assert leaks(it.app) == []
        assert "! pixel: 9 µm in the frames, 3.76 µm by the train's camera" in str(
            it.app.screen.query_one("#frames-list").render()
        )
        await it.press("escape")
        assert it.timeline == ()


async def test_tab_completes_the_folder_and_says_when_there_are_several(
    path: Path, clock: Clock, folder: Path
) -> None:
    async with opened(path, clock, "night") as it:
        await it.press("escape", "f")
        line = it.app.screen.query_one("#frames-folder", Input)
        line.value = str(folder)[:-3]
        await it.press("tab")
        assert line.value == f"{folder}/"
        assert line.has_focus
        (folder.parent / "tomorrow").mkdir()
        line.value = str(folder.parent / "to")
        await it.press("tab")
        assert "2 folders begin so" in it.words("#frames-said")


async def test_enter_adds_what_was_shown_and_the_folder_is_proposed_again(
    path: Path, clock: Clock, folder: Path
) -> None:
    async with opened(path, clock, "night") as it:
        await read_folder(it, folder)
        await it.press("enter")
        assert [each.content.kind for each in it.timeline] == ["frames", "frames"]
        assert "Kept: 4 frames in 2 runs." in it.said
        assert "21:30 3 × 180 s Ha" in it.page
        await it.press("escape")
        await it.press("f")
        assert folder_typed(it) == str(folder)
        await it.press("enter", "enter")
        assert "There is nothing to add" in it.words("#frames-said")
        assert len(it.timeline) == 2


async def test_a_folder_that_is_not_there_is_said_and_the_words_stay(
    path: Path, clock: Clock, tmp_path: Path
) -> None:
    async with opened(path, clock, "night") as it:
        await read_folder(it, tmp_path / "[/x]")
        assert "there is no folder" in it.words("#frames-said")
        assert folder_typed(it).endswith("[/x]")


async def test_missing_nights_are_begun_only_when_asked(
    path: Path, clock: Clock, tmp_path: Path
) -> None:
    folder = tmp_path / "older"
    write_run(folder, 2, FIRST - timedelta(days=7))
    async with opened(path, clock, "night") as it:
        await read_folder(it, folder)
        assert "0 frames in 0 runs to add; 2 frames left out" in it.words("#frames-said")
        await it.press("b")
        assert "2 frames in 1 run to add." in it.words("#frames-said")
        await it.press("enter")
        assert "Kept: 2 frames in 1 run." in it.said
        assert len(it.book.nights.summaries()) == 2
        assert it.book.nights.in_progress() is not None


async def wait_for(it: OnScreen, words: str) -> None:
    """Looks come about once a second; the real clock is not made faster."""
    for _ in range(200):
        await it.settle()
        if words in it.words("#night-frames"):
            return
        await asyncio.sleep(0.02)
    raise AssertionError(it.words("#night-frames"))


async def test_frames_come_in_while_the_owner_types(
    path: Path, clock: Clock, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("logbook.screen.pages.night.frames.LOOK_EVERY_S", 0.05)
    async with opened(path, clock, "night") as it:
        await read_folder(it, folder)
        await it.press("w", "enter", "ctrl+t", *"note cold")
        await wait_for(it, "Watching tonight: 4 in")
        assert it.line == "note cold"
        assert "cold" in it.said
        assert len(it.timeline) == 2
        write_frame(folder / "new.fits", FIRST + timedelta(minutes=12))
        await wait_for(it, "5 in, the last at 00:00: Andromeda Galaxy: 4 × 180 s Ha")
        assert it.line == "note cold"
        assert len(it.timeline) == 2
        assert "21:30 4 × 180 s Ha" in it.page
        assert "! pixel: 9 µm in the frames" in it.words("#night-frames")
        await it.press("escape", "escape", "f", "w")
        assert it.app.screen.query_one("#frames-said").visible
        await it.press("escape")
        assert it.app.query_one(FrameLine).watched is None
        assert not it.app.query_one(FrameLine).display


async def test_leaving_the_sheet_ends_the_reading(
    path: Path, clock: Clock, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(path, clock, "night") as it:
        read: list[Path] = []

        def leaving(file: Path) -> object:
            read.append(file)
            sheet = it.app.screen
            assert isinstance(sheet, FramesSheet)
            it.app.call_from_thread(sheet.action_leave)
            return read_frame(file)

        monkeypatch.setattr("logbook.frames.folder_watch.read_frame", leaving)
        await read_folder(it, folder)
        assert len(it.app.screen_stack) == 1
        assert len(read) == 1
        assert it.timeline == ()
