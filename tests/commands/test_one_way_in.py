"""A line means and becomes the same wherever it is typed: on the screen or in the shell."""

import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.commands import add_entry
from logbook.errors import LogbookError
from logbook.screen.services import jobs as night_flow
from logbook.screen.services import run_job
from logbook.screen.services.book_snapshot import read_view
from logbook.screen.services.services import Desk
from logbook.screen.services.understand_line import read_line
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import NoSky, begin_night, build_book

LINES = (
    "upkeep Long tube: mirror rinsed",
    "upkeep Long tube: mirror rinsed, 20 min, cost 4.50",
    "note cold and clear",
    "plain talk that is no word of the grammar",
    "transport",
    "trouble the plug froze",
    "setup on the terrace",
    "seeing 3/5",
    "air 4.2",
    "turn A tighten 1/8",
    "start m31",
    "20 x 180s",
    "better",
    "put back",
    "kit Short train",
    "at 20:30 seeing 2/5",
    "at 25:00 seeing 2/5",
    "turn Q tighten 1/8",
    "",
)


def rows_of(path: Path) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as connection:
        entries = connection.execute(
            "SELECT id, night_id, happened_utc, kind, action, text, train_revision_id, "
            "supersedes_id, cause FROM entry ORDER BY id"
        ).fetchall()
        details = [
            connection.execute(f"SELECT * FROM {table} ORDER BY 1, 2").fetchall()
            for table in ("reading", "frames", "turn", "upkeep")
        ]
    return [*entries, *details]


def typed_on_screen(path: Path, clock: Clock, line: str) -> str:
    with open_book(path, clock=clock) as book:
        desk = Desk(NoSky(), clock)
        desk.book, desk.view = book, read_view(book)
        try:
            understood = read_line(desk, line)
            return run_job.run_job(book, night_flow.keep_understood(understood)).words
        except LogbookError as error:
            return str(error)


def typed_in_shell(path: Path, clock: Clock, line: str) -> str:
    with open_book(path, clock=clock) as book:
        try:
            return add_entry.add_line(book, line)
        except LogbookError as error:
            return str(error)


@pytest.mark.parametrize("when", ["by day", "in a night", "left open"])
@pytest.mark.parametrize("before", ["", "turn A tighten 1/8"])
@pytest.mark.parametrize("line", LINES)
def test_the_same_line_gives_the_same_rows_and_the_same_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, line: str, before: str, when: str
) -> None:
    clock = Clock()
    monkeypatch.setattr(add_entry, "now_utc", clock)
    monkeypatch.setattr(add_entry, "find_target", NoSky().find)
    paths = [build_book(tmp_path / f"{n}.db", Clock()) for n in range(2)]
    for path in paths:
        if when != "by day":
            begin_night(path, Clock())
    clock.forward(minutes=40)
    if before:
        assert typed_on_screen(paths[0], clock, before) == typed_in_shell(paths[1], clock, before)
    clock.forward(days=2 if when == "left open" else 0, minutes=20)
    words = [typed_on_screen(paths[0], clock, line), typed_in_shell(paths[1], clock, line)]
    assert words[0] == words[1]
    assert rows_of(paths[0]) == rows_of(paths[1])


def test_upkeep_is_logged_from_the_shell_by_day(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = Clock()
    monkeypatch.setattr(add_entry, "now_utc", clock)
    path = build_book(tmp_path / "logbook.db", clock)
    clock.now += timedelta(hours=15)
    words = typed_in_shell(path, clock, "upkeep Long tube: mirror rinsed")
    assert words.startswith("Kept: upkeep, Long Tube: mirror rinsed")
    assert words.endswith(" · in no night")
    with open_book(path, clock=clock) as book:
        (entry,) = book.timeline.of_night(None)
        assert entry.content.upkeep is not None
        assert entry.content.upkeep.part_name == "Long Tube"
