"""What a check finds: damage, rows that point nowhere, readings and clocks that cannot be."""

import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.records.entries import NewEntry, NightRecord
from logbook.store.book import Book
from logbook.store.file.integrity import GUARDED
from logbook.store.import_book import import_book
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.store.whole_book import fill_whole

Note = Callable[..., NewEntry]


def behind_the_books_back(path: Path, *statements: str) -> None:
    """Change rows as no part of the program does, past the triggers."""
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA foreign_keys=OFF")
        connection.execute("PRAGMA ignore_check_constraints=ON")
        for statement in statements:
            connection.execute(statement)
        connection.commit()


def words_of(book: Book) -> str:
    return " | ".join(each.words for each in book.findings())


def test_a_sound_book_has_nothing_to_say(
    book: Book, night: NightRecord, note: Note, clock: Clock
) -> None:
    clock.forward(minutes=10)
    book.timeline.keep(night.id, note("calm", minutes=5))
    assert book.findings() == ()


@pytest.mark.usefixtures("night")
def test_a_spoilt_page_is_damage(book: Book, book_path: Path) -> None:
    book.close()
    with book_path.open("rb+") as opened:
        opened.seek(4096 * 6)
        opened.write(b"\xa5" * 4096 * 3)
    with open_book(book_path, read_only=True) as again:
        assert any(each.is_damage for each in again.findings())


@pytest.mark.usefixtures("night")
def test_a_row_that_points_nowhere_is_damage(book: Book, book_path: Path) -> None:
    behind_the_books_back(
        book_path,
        "DROP TRIGGER night_only_ends",
        "UPDATE night SET site_id = 77",
    )
    found, _ = book.findings()
    assert found.is_damage
    assert "site that is missing" in found.words


def test_a_reading_that_cannot_be_is_odd(
    book: Book, night: NightRecord, book_path: Path, clock: Clock
) -> None:
    clock.forward(minutes=1)
    reading = NewEntry("reading", EVENING, "air 4", readings=(("air_temperature_c", 4.0),))
    book.timeline.keep(night.id, reading)
    behind_the_books_back(
        book_path, "DROP TRIGGER reading_never_changed", "UPDATE reading SET number = 400"
    )
    assert "CHECK constraint failed in reading" in words_of(book)


def guards_of(path: Path) -> set[str]:
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        return {name for (name,) in rows}


def test_every_guard_of_a_book_is_known(book_path: Path) -> None:
    assert set(GUARDED) == guards_of(book_path)


@pytest.mark.parametrize("guard", ["entry_never_changed", "night_only_ends", "turn_never_deleted"])
def test_a_guard_that_is_gone_is_damage_and_a_new_book_has_it_again(
    book: Book, book_path: Path, tmp_path: Path, guard: str
) -> None:
    behind_the_books_back(book_path, f"DROP TRIGGER {guard}")
    (found,) = book.findings()
    assert found.is_damage
    assert guard in found.words
    assert "import it as a new one" in found.words
    book.export(tmp_path / "out")
    import_book(tmp_path / "out", tmp_path / "new.db")
    with open_book(tmp_path / "new.db") as again:
        assert again.findings() == ()


# Each fault as it is planted behind the book's back, and what is reported.
FAULTS = {
    "an entry without what belongs to it": (
        ("DELETE FROM turn",),
        True,
        r"entry \d+ is a turn, and what belongs to it is gone",
    ),
    "an entry of no known kind": (
        ("UPDATE entry SET kind = 'riddle' WHERE kind = 'trouble'",),
        True,
        r"entry \d+ is of an unknown kind: riddle",
    ),
    "an entry that corrects a later one": (
        ("UPDATE entry SET supersedes_id = id + 1 WHERE kind = 'object'",),
        True,
        "takes the place of entry .* a later one",
    ),
    "a row that points nowhere": (
        ("UPDATE entry SET target_id = 99 WHERE kind = 'object'",),
        True,
        "points at a target that is missing",
    ),
    "a place that is not on Earth": (
        ("UPDATE site SET latitude_deg = 148.2",),
        True,
        "CHECK constraint failed in site",
    ),
    "a temperature no mirror has": (
        ("UPDATE reading SET number = -300",),
        True,
        "CHECK constraint failed in reading",
    ),
    "a night that ends before it begins": (
        ("UPDATE night SET ended_utc = '2025-10-04T18:00:00.000000Z'",),
        False,
        "ended 60 min before it began",
    ),
    "a clock that went back": (
        ("UPDATE entry SET recorded_utc = '2025-10-04T22:00:00.000000Z' WHERE kind = 'trouble'",),
        False,
        r"the computer's clock had gone back \d+ min",
    ),
    "an entry from the future": (
        ("UPDATE entry SET happened_utc = '2025-10-05T02:00:00.000000Z' WHERE kind = 'trouble'",),
        False,
        "after it was kept",
    ),
    "an entry outside its night": (
        ("UPDATE entry SET happened_utc = '2025-09-01T22:00:00.000000Z' WHERE kind = 'trouble'",),
        False,
        "lies outside its night of 2025-10-04",
    ),
    "a picture that is gone": (
        ("UPDATE star_look SET picture_path = '/nowhere/vega.fits'",),
        False,
        r"the picture of entry \d+ is not there: /nowhere/vega.fits",
    ),
}


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_planted_in_a_whole_book_is_found_and_nothing_else(
    book: Book, book_path: Path, clock: Clock, name: str
) -> None:
    fill_whole(book, clock)
    (book_path.parent / "v.fits").write_bytes(b"")  # the picture that a star test names
    assert book.findings() == ()
    with closing(sqlite3.connect(book_path)) as connection:
        guards = connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        ).fetchall()
    statements, is_damage, words = FAULTS[name]
    behind_the_books_back(
        book_path,
        *(f"DROP TRIGGER {guard}" for guard, _ in guards),
        *statements,
        *(sql for _, sql in guards),
    )
    found = book.findings()
    assert any(re.search(words, each.words) for each in found), found
    assert {each.is_damage for each in found} == {is_damage}


def test_a_night_that_was_forgotten_is_told(
    book: Book, night: NightRecord, book_path: Path, clock: Clock
) -> None:
    clock.forward(hours=4)
    book.nights.end(night.id, clock.now)
    clock.forward(days=7)
    later = book.nights.start(1, None, "", clock.now)
    book.nights.end(later.id, clock.now + timedelta(hours=1))
    assert book.findings() == ()
    behind_the_books_back(book_path, f"UPDATE night SET ended_utc = NULL WHERE id = {night.id}")
    assert words_of(book) == (
        "the night of 2025-10-04 never ended, though one of 2025-10-11 followed"
    )


def test_a_clock_that_went_back_is_told(
    book: Book, night: NightRecord, note: Note, clock: Clock
) -> None:
    clock.forward(hours=2)
    book.timeline.keep(night.id, note("two hours in"))
    clock.forward(hours=-1)
    book.timeline.keep(night.id, note("one hour in"))
    assert "gone back 60 min" in words_of(book)


def test_an_entry_of_another_evening_is_told(book: Book, night: NightRecord, clock: Clock) -> None:
    clock.forward(days=2)
    book.timeline.keep(night.id, NewEntry("note", EVENING + timedelta(days=1), "which night?"))
    assert "outside its night of 2025-10-04" in words_of(book)


def test_many_of_a_kind_are_told_in_few_lines(book: Book, night: NightRecord, clock: Clock) -> None:
    clock.forward(days=2)
    for day in range(20):
        book.timeline.keep(night.id, NewEntry("note", EVENING + timedelta(days=1), f"{day}"))
    found = book.findings()
    assert len(found) == 6
    assert "15 more" in found[-1].words
