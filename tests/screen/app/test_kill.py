"""Acknowledged means on disk: the real program is killed while somebody types.

`python -m tests.screen.killing` does the same a thousand times.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from logbook.entryline.waiting_line import read_draft_line
from logbook.store.opening import open_book
from tests.screen.killing import book_with_a_night, kill_once
from tests.screen.terminal import Terminal, quiet_environment

pytestmark = pytest.mark.slow


# Two batches, so that two cores share them.
@pytest.mark.parametrize("first", [0, 100])
def test_a_killed_program_loses_nothing_it_said_it_kept(tmp_path: Path, first: int) -> None:
    """By three signals, at any moment; how far a draft lags is timed, so only printed."""
    path = book_with_a_night(tmp_path)
    deaths = [kill_once(path, tmp_path, first + each) for each in range(8)]
    assert len({death.how for death in deaths}) == 3
    assert sum(death.acknowledged for death in deaths) > 0
    for death in deaths:
        assert (death.lost, death.unsound) == ((), "")


def test_half_typed_words_are_back_after_a_kill(tmp_path: Path) -> None:
    book_path = book_with_a_night(tmp_path)
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


PASTED = "\x1b[200~seeing 3/5\rair 4.2\rnote the fog\x1b[201~"


def program(book_path: Path, home: Path) -> Terminal:
    return Terminal(
        ["-m", "logbook", "--book", str(book_path)], environment=quiet_environment(home)
    )


@contextmanager
def locked(book_path: Path) -> Iterator[None]:
    """Another program holds the book, as a copying tool or a second window may."""
    with closing(sqlite3.connect(book_path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


def wait_for_typed(it: Terminal, book_path: Path, wanted: list[str]) -> None:
    for _ in range(3000):
        with closing(sqlite3.connect(book_path)) as reader:
            rows = reader.execute("SELECT text FROM typed ORDER BY position").fetchall()
        if [read_draft_line(text).text for (text,) in rows] == wanted:
            return
        it.read(0.02)
    raise AssertionError(f"the book never held {wanted}, but {rows}")


def texts(book_path: Path) -> list[str]:
    with open_book(book_path) as book:
        night = book.nights.in_progress()
        assert night is not None
        return [each.content.text for each in book.timeline.of_night(night.id)]


def test_pasted_lines_wait_through_a_kill_and_take_one_enter_each(tmp_path: Path) -> None:
    book_path = book_with_a_night(tmp_path)
    with program(book_path, tmp_path) as it:
        it.wait_for("Hollow Edge")
        it.press(PASTED)
        it.wait_for("2 more lines wait: one Enter each.")
        it.wait_for("Enter logs: seeing 3 of 5")
        wait_for_typed(it, book_path, ["seeing 3/5", "air 4.2", "note the fog"])
        it.kill()
    with program(book_path, tmp_path) as it:
        it.wait_for("2 more lines wait: one Enter each.")
        it.wait_for("▸ seeing 3/5")
        it.press("\r")
        it.wait_for("▸ air 4.2")
        it.wait_for("Kept: seeing 3 of 5")
        it.press("\r\r")
        it.wait_for("Kept: note: the fog")
        wait_for_typed(it, book_path, [])
    assert texts(book_path) == ["seeing 3/5", "air 4.2", "note the fog"]


def test_lines_typed_in_one_burst_while_the_book_is_held_come_back_one_by_one(
    tmp_path: Path,
) -> None:
    book_path = book_with_a_night(tmp_path)
    with program(book_path, tmp_path) as it:
        it.wait_for("Hollow Edge")
        with locked(book_path):
            it.press("seeing 3/5\r20 x 180s Ha\rair 4.2\r")
            it.wait_for("Being saved: seeing 3/5 · 2 more after it.")
            it.wait_for("another program is writing")
            it.wait_for("2 more lines wait: one Enter each.")
            it.wait_for("▸ seeing 3/5")
        wait_for_typed(it, book_path, ["seeing 3/5", "20 x 180s Ha", "air 4.2"])
        entered_before = datetime.now(UTC)
        it.kill()
    assert texts(book_path) == []
    with program(book_path, tmp_path) as it:
        it.wait_for("2 more lines wait: one Enter each.")
        it.press("\r\r\r")
        it.wait_for("Kept: air 4.2")
        wait_for_typed(it, book_path, [])
    assert texts(book_path) == ["seeing 3/5", "20 x 180s Ha", "air 4.2"]
    with open_book(book_path) as book:
        night = book.nights.in_progress()
        assert night is not None
        happened = [each.content.happened_utc for each in book.timeline.of_night(night.id)]
    assert max(happened) < entered_before, "they happened when Enter was first pressed"


def test_a_draft_that_cannot_be_saved_is_told_and_saved_when_it_can_be(tmp_path: Path) -> None:
    book_path = book_with_a_night(tmp_path)
    with program(book_path, tmp_path) as it:
        it.wait_for("Hollow Edge")
        with locked(book_path):
            it.press("note the wind")
            it.wait_for("not on disk yet (another program is writing)")
        wait_for_typed(it, book_path, ["note the wind"])
        it.wait_for(lambda text: "not on disk yet" not in text)
        it.kill()


def test_two_windows_keep_apart_what_is_half_typed_and_neither_loses_it(tmp_path: Path) -> None:
    book_path = book_with_a_night(tmp_path)
    with program(book_path, tmp_path) as one:
        one.wait_for("Hollow Edge")
        one.press("note one wi")
        wait_for_typed(one, book_path, ["note one wi"])
        with program(book_path, tmp_path) as two:
            two.wait_for("Night of")
            assert "note one wi" not in two.text
            two.press("note two\r")
            two.wait_for("Kept: note: two")
            one.kill()
        wait_for_typed(two, book_path, ["note one wi"])
    with program(book_path, tmp_path) as three:
        three.wait_for("▸ note one wi")
