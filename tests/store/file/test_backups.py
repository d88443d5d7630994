"""Copies: made whole, retained by a rule, put back without losing what was there."""

import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from logbook.errors import BadInput, BookRefused, NotWritten
from logbook.records.entries import NewEntry, NightRecord
from logbook.store.book import Book
from logbook.store.file import backups
from logbook.store.file.book_state import last_sound_copy
from logbook.store.opening import open_book
from tests.clock import EVENING

NOW = datetime(2025, 10, 5, 4, 0, tzinfo=UTC)


def notes_in(path: Path) -> list[str]:
    with open_book(path, read_only=True) as opened:
        return [each.content.text for each in opened.timeline.latest(50)]


def test_a_copy_of_a_book_in_use_holds_what_was_kept(
    book: Book, night: NightRecord, book_path: Path
) -> None:
    book.timeline.keep(night.id, NewEntry("note", EVENING, "a still evening"))
    copy = backups.back_up(book_path, None, NOW)
    assert copy == last_sound_copy(book_path)
    assert notes_in(copy) == ["a still evening"]


def test_a_copy_goes_where_the_owner_says_and_over_nothing(book: Book, tmp_path: Path) -> None:
    (tmp_path / "stick").mkdir()
    into = backups.back_up(book.path, tmp_path / "stick", NOW)
    named = backups.back_up(book.path, tmp_path / "stick/named.db", NOW)
    assert {into.parent, named.parent} == {tmp_path / "stick"}
    with pytest.raises(BadInput, match="already"):
        backups.back_up(book.path, named, NOW)


def test_the_newest_ten_and_the_last_of_each_month_are_kept() -> None:
    first = date(2025, 1, 1)
    days = [first + timedelta(days=3 * each) for each in range(60)]
    names = [Path(f"log night of {day.isoformat()}.db") for day in days]
    others = [Path("log 2025-01-02T120000Z.db"), Path("log 2025-01-03T120000Z before 0002.db")]
    left = set(names) - set(backups.out_of_date([*others, *names]))
    last_of_month = {
        max(day for day in days if day.month == month).isoformat() for month in range(1, 7)
    }
    assert {path.name[13:23] for path in left} == last_of_month | {
        day.isoformat() for day in days[-10:]
    }


def test_where_the_copy_of_a_night_lies_and_what_is_kept_is_said(book: Book) -> None:
    copy = backups.back_up_night(book.path, date(2025, 10, 4))
    said = backups.night_copy_words(copy)
    assert copy.parent.name in said
    assert "the newest 10 and the last of each month" in said


def test_where_no_copy_can_be_made_the_words_are_about_the_copy(book: Book, tmp_path: Path) -> None:
    (tmp_path / "letter").write_text("dear", encoding="utf-8")
    with pytest.raises(NotWritten, match="there can be no folder") as said:
        backups.back_up(book.path, tmp_path / "letter/copy.db", NOW)
    assert "typed" not in str(said.value)


def test_a_copy_that_is_not_there_is_said_to_be_no_copy(book: Book, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"no copy at .*logbook restore"):
        backups.restore(book.path, tmp_path / "gone.db", NOW)


def test_a_night_taken_up_again_has_one_copy(book: Book) -> None:
    for _ in range(2):
        backups.back_up_night(book.path, date(2025, 10, 4))
    assert [each.nights for each in backups.copies_of(book.path)] == [0]


def test_going_back_keeps_the_book_that_was_there(
    book: Book, night: NightRecord, book_path: Path
) -> None:
    book.timeline.keep(night.id, NewEntry("note", EVENING, "before"))
    copy = backups.back_up(book_path, None, NOW)
    book.timeline.keep(night.id, NewEntry("note", EVENING, "after"))
    book.close()
    aside = backups.restore(book_path, copy, NOW)
    assert notes_in(book_path) == ["before"]
    assert copy.exists()
    assert aside is not None
    assert sorted(notes_in(aside)) == ["after", "before"]


def test_a_damaged_book_gives_way_to_its_copy(book: Book, book_path: Path) -> None:
    copy = backups.back_up(book_path, None, NOW)
    book.close()
    spoilt = b"not a book any more" * 100
    book_path.write_bytes(spoilt)
    aside = backups.restore(book_path, copy, NOW)
    assert notes_in(book_path) == []
    assert aside is not None
    assert aside.read_bytes() == spoilt
    assert last_sound_copy(book_path) == copy


def test_nothing_is_put_back_under_a_program_that_has_the_book_open(book: Book) -> None:
    copy = backups.back_up(book.path, None, NOW)
    with closing(sqlite3.connect(book.path)) as other:
        other.execute("SELECT count(*) FROM entry").fetchone()
        with pytest.raises(BookRefused, match="open"):
            backups.restore(book.path, copy, NOW)
    assert book.path.exists()


@pytest.mark.parametrize("content", [b"", b"a letter", b"SQLite format 3\0" + b"x" * 4000])
def test_what_is_no_sound_book_is_never_put_back(
    book: Book, tmp_path: Path, content: bytes
) -> None:
    (tmp_path / "odd.db").write_bytes(content)
    before = book.path.read_bytes()
    with pytest.raises((BadInput, BookRefused)):
        backups.restore(book.path, tmp_path / "odd.db", NOW)
    assert book.path.read_bytes() == before


def test_the_book_itself_is_no_copy(book: Book) -> None:
    with pytest.raises(BadInput, match="itself"):
        backups.restore(book.path, book.path, NOW)
