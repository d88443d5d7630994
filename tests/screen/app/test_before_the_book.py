"""What is typed and turned to while the book is still being opened."""

import asyncio
import sqlite3
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, closing
from pathlib import Path

import pytest

from logbook.errors import NotWritten
from logbook.records.entries import TargetCopy
from logbook.screen.app.app import LogbookApp
from logbook.screen.app.book_error import Refused
from logbook.screen.pages.night.night_form import EndNight
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import DRAFT_PLACE, EntryBar
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import NoSky, OnScreen, begin_night, build_book
from tests.screen.killing import book_with_a_night
from tests.screen.terminal import Terminal, quiet_environment


class SlowSource(BookSource):
    """A book that is opened when a test says so."""

    def __init__(self, path: Path, clock: Clock) -> None:
        super().__init__(path, clock=clock)
        self.disk = threading.Event()

    def open(self) -> Book:
        self.disk.wait()
        return super().open()


class Opening(OnScreen):
    """The program before its book is there."""

    async def the_book_comes(self, *, then_settle: bool = True) -> None:
        assert isinstance(self.app.parts.opener.source, SlowSource)
        self.app.parts.opener.source.disk.set()
        while self.app.desk.book is None:
            await self.pilot.pause(0.01)
        if not then_settle:
            return
        await self.settle()
        await self.settle()

    @property
    def focused(self) -> str | None:
        return self.app.focused.id if self.app.focused else None


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    return path


class SlowSky(NoSky):
    """Its names are read when a test says so."""

    def __init__(self) -> None:
        self.read = threading.Event()

    def load(self) -> None:
        self.read.wait()

    def find(self, typed: str) -> TargetCopy | None:
        return super().find(typed) if self.read.is_set() else None


@asynccontextmanager
async def opening(path: Path, clock: Clock, sky: NoSky | None = None) -> AsyncIterator[Opening]:
    source = SlowSource(path, clock)
    app = LogbookApp(source, Desk(sky or NoSky(), clock=clock))
    try:
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            yield Opening(pilot, app)
    finally:
        source.disk.set()
        if isinstance(sky, SlowSky):
            sky.read.set()
    if app.desk.writer is not None and app.desk.book is not None:
        app.desk.writer.close()
        app.desk.book.close()


async def test_a_line_typed_early_waits_and_is_read_by_the_book(
    book_path: Path, clock: Clock
) -> None:
    """The book's zone is Vienna's; without a book the clock time was taken as UTC."""
    async with opening(book_path, clock) as it:
        await it.pilot.press(*"at", "space", *"19:30", "space", *"upkeep", "space", *"Small")
        assert it.line == "at 19:30 upkeep Small"
        assert "being opened" in it.said
        assert "Enter" not in it.said
        await it.pilot.press("space", *"Chip:", "space", *"dusted")
        await it.the_book_comes()
        assert it.line == "at 19:30 upkeep Small Chip: dusted"
        assert it.said.startswith("Enter logs: ")
        assert "none of your parts" not in it.said
        assert "19:30 CE" in it.said
        assert it.focused == "line"


async def test_enter_pressed_early_counts_for_lines_that_are_understood_whole(
    book_path: Path, clock: Clock
) -> None:
    async with opening(book_path, clock) as it:
        await it.pilot.press(*"seeing", "space", *"3/5", "enter", *"air", "space", *"4.2", "enter")
        assert it.line == ""
        assert it.words("#waiting") == "2 lines wait for the book."
        await it.pilot.press(*"note", "space", *"thr")
        await it.the_book_comes()
        assert [each.content.text for each in it.timeline] == ["seeing 3/5", "air 4.2"]
        assert "Kept: air 4.2" in it.said
        assert "Enter logs: note: thr" in it.said
        assert it.line == "note thr"
        assert it.words("#waiting") == ""


@pytest.mark.parametrize(
    "doubtful",
    [
        "kit Shrt train",  # read as another word
        "upkeep Lost Chip: dusted",  # none of the parts
        "hazy in the west",  # no known first word
        "seeing 3/5 owls about",  # words that no reading uses
        "turn A",  # asked about
    ],
)
async def test_enter_pressed_early_saves_nothing_that_is_doubted(
    book_path: Path, clock: Clock, doubtful: str
) -> None:
    async with opening(book_path, clock) as it:
        bar = it.app.query_one(EntryBar)
        for line in (doubtful, "air 4.2"):
            bar.restore(line)
            await it.pilot.press("enter")
        await it.the_book_comes()
        assert it.timeline == ()
        assert it.line == doubtful
        assert it.words("#waiting") == "1 more line waits: one Enter each."
        assert "Kept" not in it.said


@pytest.mark.parametrize(("key", "page"), [("f5", "kit"), ("f6", "past"), ("f2", "choose")])
async def test_no_page_is_empty_before_the_book_and_the_one_turned_to_stays(
    book_path: Path, clock: Clock, key: str, page: str
) -> None:
    async with opening(book_path, clock) as it:
        assert it.page.startswith("The book is being opened")
        await it.pilot.press(key)
        assert it.page.startswith("The book is being opened")
        assert "othing" not in it.page
        await it.the_book_comes()
        shown = it.app.parts.pages.in_view()
        assert shown is not None
        assert shown.id == page


async def test_without_a_turn_the_night_in_progress_is_shown(book_path: Path, clock: Clock) -> None:
    async with opening(book_path, clock) as it:
        await it.the_book_comes()
        shown = it.app.parts.pages.in_view()
        assert shown is not None
        assert shown.id == "night"


async def test_the_late_book_does_not_take_the_cursor_from_the_line(
    tmp_path: Path, clock: Clock
) -> None:
    """On Choose, where the list would have it."""
    path = build_book(tmp_path / "by-day.db", clock)
    async with opening(path, clock) as it:
        await it.pilot.press(*"note", "space", *"fo")
        await it.the_book_comes()
        await it.press("g")
        assert it.line == "note fog"


async def test_book_writer_and_snapshot_arrive_together(book_path: Path, clock: Clock) -> None:
    async with opening(book_path, clock) as it:
        desk, seen = it.app.desk, set[tuple[bool, bool, bool]]()
        assert isinstance(it.app.parts.opener.source, SlowSource)
        it.app.parts.opener.source.disk.set()
        while desk.book is None or not desk.view.sites:
            seen.add((desk.book is None, desk.writer is None, not desk.view.sites))
            await asyncio.sleep(0)
        assert seen <= {(True, True, True)}
        await it.settle()


async def test_what_was_left_is_found_though_another_program_writes_at_the_start(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("logbook.screen.app.opener.TAKE_OVER_AGAIN_S", 0.01)
    with open_book(book_path, clock=clock) as book:
        book.drafts.put("ended", DRAFT_PLACE, ("note wi", "air 4"))
    with closing(sqlite3.connect(book_path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        async with opening(book_path, clock) as it:
            await it.the_book_comes()
            assert it.words("#waiting") == ""
            other.execute("ROLLBACK")
            while "2 more lines wait" not in it.words("#waiting"):
                await it.pilot.pause(0.01)
            await it.press("ctrl+t", "enter")
            assert it.line == "note wi"


async def test_what_stands_on_the_line_when_the_book_comes_is_a_draft_at_once(
    book_path: Path, clock: Clock
) -> None:
    """With what was left last time after it; no further key is needed."""
    with open_book(book_path, clock=clock) as book:
        book.drafts.put("ended", DRAFT_PLACE, ("air 4",))
    async with opening(book_path, clock) as it:
        await it.pilot.press(*"note", "space", *"thr")
        await it.the_book_comes()
        assert it.words("#waiting") == "1 more line waits: one Enter each."
        window = it.app.parts.opener.window
        assert window is not None
        while it.book.drafts.get(window.name, DRAFT_PLACE) != ("note thr", "air 4"):
            await it.pilot.pause(0.01)


async def test_a_line_that_waited_happened_when_enter_was_pressed(
    book_path: Path, clock: Clock
) -> None:
    async with opening(book_path, clock) as it:
        await it.pilot.press(*"seeing", "space", *"3/5", "enter")
        entered = clock()
        clock.forward(minutes=10)
        await it.the_book_comes()
        (entry,) = it.timeline
        assert entry.content.happened_utc == entered
        assert "seeing 3 of 5 · 21:00 CEST" in it.said


async def test_a_line_waits_for_the_names_of_the_sky_too(book_path: Path, clock: Clock) -> None:
    """Before they are known, the name of an object would be a note."""
    async with opening(book_path, clock, SlowSky()) as it:
        await it.the_book_comes(then_settle=False)
        bar = it.app.query_one(EntryBar)
        bar.restore("m31 started")
        await it.pilot.pause()
        assert "names of the sky" in it.said
        await it.pilot.press("enter")
        assert it.words("#waiting") == "1 line waits for the names of the sky."
        before = it.timeline
        assert before == ()
        sky = it.app.desk.sky
        assert isinstance(sky, SlowSky)
        sky.read.set()
        while not it.timeline:
            await it.pilot.pause(0.01)
        (entry,) = it.timeline
        assert entry.content.kind == "object"
        await it.settle()


async def test_lines_are_saved_though_the_catalogue_cannot_be_read(
    book_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setattr(NoSky, "load", lambda _: 1 / 0)
    async with opening(book_path, clock) as it:
        await it.pilot.press(*"air", "space", *"4.2", "enter")
        await it.the_book_comes()
        assert [each.content.text for each in it.timeline] == ["air 4.2"]


@pytest.mark.parametrize("error", [ValueError("a zone that nobody knows"), NotWritten("no room")])
async def test_a_book_that_cannot_be_read_is_refused_and_closed(
    book_path: Path,
    clock: Clock,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    error: Exception,
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    closed: list[Book] = []
    close = Book.close

    def noted(book: Book) -> None:
        closed.append(book)
        close(book)

    def fails(_: Book) -> None:
        raise error

    monkeypatch.setattr(Book, "close", noted)
    monkeypatch.setattr("logbook.screen.app.opener.read_view", fails)
    async with opening(book_path, clock) as it:
        assert isinstance(it.app.parts.opener.source, SlowSource)
        it.app.parts.opener.source.disk.set()
        while not isinstance(it.app.screen, Refused):
            await it.pilot.pause(0.01)
        assert len(closed) == 1
        assert it.app.desk.writer is None
        assert not [each for each in threading.enumerate() if each.name == "book writer"]


def test_a_burst_typed_at_once_after_the_start_is_saved_line_by_line(tmp_path: Path) -> None:
    """In one write, before the book can be there."""
    path = book_with_a_night(tmp_path)
    program = ["-m", "logbook", "--book", str(path)]
    with Terminal(program, environment=quiet_environment(tmp_path)) as it:
        it.wait_for("being opened")
        it.press("seeing 3/5\rair 4.2\rnote the wi")
        it.wait_for("Kept: air 4.2")
        it.wait_for("▸ note the wi")
    with closing(sqlite3.connect(path)) as reader:
        texts = reader.execute("SELECT text FROM entry ORDER BY id").fetchall()
    assert texts == [("seeing 3/5",), ("air 4.2",)]


async def test_a_key_that_needs_the_book_follows_when_it_is_there(
    book_path: Path, clock: Clock
) -> None:
    async with opening(book_path, clock) as it:
        await it.pilot.press("f10")
        assert it.said == "The book is being opened; F10 follows."
        await it.pilot.press(*"4")
        assert len(it.app.screen_stack) == 1
        await it.the_book_comes()
        assert isinstance(it.app.screen, EndNight)


async def test_the_key_that_leaves_does_not_wait_for_a_book_that_never_comes(
    book_path: Path, clock: Clock
) -> None:
    async with opening(book_path, clock) as it:
        await it.pilot.press("f10", "ctrl+q")
        while it.app.is_running:
            await asyncio.sleep(0.02)
        assert it.app.return_code == 0
