"""What a check finds: damage, rows that point nowhere, readings and clocks that cannot be."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.store.book import Book
from logbook.store.opening import open_book
from logbook.store.records import NewEntry, NightRecord
from tests.store.clock import EVENING, Clock

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
    (found,) = book.findings()
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
    words = words_of(book)
    assert "air_temperature_c 400 is not possible" in words or "CHECK" in words


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
