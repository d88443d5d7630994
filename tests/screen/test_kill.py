"""Acknowledged means on disk: the real program is killed right after it said "Kept"."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from logbook.sky.place import Site
from logbook.store.opening import make_book, open_book
from tests.screen.terminal import Terminal, quiet_environment
from tests.store.clock import zone_far_from_noon


@pytest.fixture
def book_path(tmp_path: Path) -> Path:
    """A book with a night in progress, so that the entry line keeps at once."""
    path = make_book(tmp_path / "logbook.db")
    with open_book(path) as book:
        site = book.sites.add(Site("Hollow Edge", 52.1, -3.7, 200.0, zone_far_from_noon()))
        book.nights.start(site.id, None, "Ysolde", datetime.now(UTC))
    return path


def kept_texts(path: Path) -> list[str]:
    """What the file holds, read by sqlite alone."""
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return [text for (text,) in connection.execute("SELECT text FROM entry ORDER BY id")]


# Two batches, so that two cores share them; 50 kills together.
@pytest.mark.parametrize("batch", [1, 2])
def test_a_killed_program_loses_nothing_it_said_it_kept(
    book_path: Path, tmp_path: Path, batch: int
) -> None:
    environment = quiet_environment(tmp_path)
    acknowledged: list[str] = []
    for number in range(25):
        line = f"note batch {batch} number {number:02d}"
        with Terminal(["-m", "logbook", "--book", str(book_path)], environment=environment) as it:
            it.wait_for("Hollow Edge")
            it.press(f"{line}\r")
            it.wait_for(f"Kept: note: {line.removeprefix('note ')}")
            acknowledged.append(line)
            it.kill()
        assert kept_texts(book_path) == acknowledged


def test_half_typed_words_are_back_after_a_kill(book_path: Path, tmp_path: Path) -> None:
    environment = quiet_environment(tmp_path)
    with Terminal(["-m", "logbook", "--book", str(book_path)], environment=environment) as it:
        it.wait_for("Hollow Edge")
        it.press("note the wind is ris")
        it.wait_for("the wind is ris")
        for _ in range(40):  # a little over the 0.3 s that a draft may lag behind
            it.read(0.02)
        it.kill()
    with Terminal(["-m", "logbook", "--book", str(book_path)], environment=environment) as it:
        it.wait_for("note the wind is ris")
