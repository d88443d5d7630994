"""A book that is missing or damaged, at the start of the screen: the way back is offered there."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from logbook.screen.app.app import LogbookApp
from logbook.screen.app.book_error import Refused
from logbook.screen.app.first_run import FirstRun
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.store.file import backups
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import NoSky, begin_night, build_book
from tests.store.integrity.test_cells import spoil_cell


@pytest.fixture
def path(tmp_path: Path) -> Path:
    clock = Clock(EVENING)
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    backups.back_up(path, None, EVENING)
    return path


def app_at(path: Path) -> LogbookApp:
    clock = Clock(EVENING)
    return LogbookApp(BookSource(path, clock=clock), Desk(NoSky(), clock=clock))


async def wait_for(pilot: Pilot[int], app: LogbookApp, kind: type[object]) -> None:
    while not isinstance(app.screen, kind):
        await pilot.pause(0.01)
    await pilot.pause()


def words_of(app: LogbookApp) -> str:
    return " ".join(str(each.content) for each in app.screen.query(Static))


async def put_back(pilot: Pilot[int], app: LogbookApp) -> None:
    await pilot.press("r")
    assert "Put this copy back?" in words_of(app)
    await pilot.press("enter")
    while app.desk.book is None or app.desk.writer is None:
        await pilot.pause(0.01)
    while "Put back: the copy of" not in str(app.query_one("#warning", Static).content):
        await pilot.pause(0.01)
    app.desk.writer.close()
    app.desk.book.close()


async def test_a_missing_book_beside_its_copy_offers_the_copy_and_a_new_book(path: Path) -> None:
    path.unlink()
    app = app_at(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, app, Refused)
        assert "1 night" in words_of(app)
        assert "n: a new book" in words_of(app)
        await pilot.press("n")
        await wait_for(pilot, app, FirstRun)
    assert not path.exists()
    app = app_at(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, app, Refused)
        await put_back(pilot, app)
        assert app.desk.view.night is not None


async def test_a_copy_damaged_since_is_passed_over_for_the_one_before(path: Path) -> None:
    newest = backups.back_up(path, path.parent / "logbook copies" / "newest.db", EVENING)
    with closing(sqlite3.connect(newest)) as connection:
        connection.execute("DROP TRIGGER entry_never_changed")
    path.unlink()
    app = app_at(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, app, Refused)
        await pilot.press("r", "enter")
        while "is damaged" not in words_of(app):
            await pilot.pause(0.01)
        await put_back(pilot, app)


async def test_a_book_whose_rows_cannot_be_read_offers_its_copy(path: Path) -> None:
    spoil_cell(path, "night", "started_utc = 'r' || substr(started_utc, 2)")
    app = app_at(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, app, Refused)
        assert "table night, row 1: started_utc" in words_of(app)
        assert "n: a new book" not in words_of(app)
        await put_back(pilot, app)


async def test_a_log_moved_aside_for_a_new_book_is_said_on_the_screen(tmp_path: Path) -> None:
    path = tmp_path / "new.db"
    shutil.copyfile(__file__, tmp_path / "new.db-wal")
    app = app_at(path)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, app, FirstRun)
        assert isinstance(app.screen, FirstRun)
        values = {"name": "Yard", "where": "48.2 16.3", "aperture": "203", "focal": "1624"}
        app.screen.rows.fill(app.screen.values() | values | {"zone": "Europe/Vienna"})
        await pilot.press("ctrl+o")
        while app.desk.book is None or app.desk.writer is None:
            await pilot.pause(0.01)
        assert "A log lay there" in str(app.query_one("#warning", Static).content)
        assert app.query_one(EntryBar).query_one("#warning").display
        app.desk.writer.close()
        app.desk.book.close()
