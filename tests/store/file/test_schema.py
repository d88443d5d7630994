"""A copy with a table, a column, an index or a guard's body gone is no sound copy."""

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from logbook import cli
from logbook.errors import BookRefused
from logbook.store.book import Book
from logbook.store.file import backups, book_state
from logbook.store.file.migrate import fill_new_book
from logbook.store.file.schema import schema_faults
from logbook.store.opening import open_book

NOW = book_state.now_utc()
_GUARD = "CREATE TRIGGER {name} BEFORE {event} ON {table} BEGIN {body}; END"
# What a copy lost, and what is said of it.
LOST = {
    "a table": (("DROP TABLE former_name",), "the table former_name is missing"),
    "an index": (("DROP INDEX ix_turn_telescope",), "the index ix_turn_telescope is missing"),
    "a column": (("ALTER TABLE entry DROP COLUMN origin",), "the table entry is not as"),
    "a column's kind": (
        (
            "ALTER TABLE night RENAME COLUMN observer TO gone",
            "ALTER TABLE night ADD COLUMN observer INTEGER",
        ),
        "the table night is not as",
    ),
    "a guard": (("DROP TRIGGER entry_never_changed",), "guard entry_never_changed is missing"),
    "a guard's body": (
        (
            "DROP TRIGGER entry_never_deleted",
            _GUARD.format(
                name="entry_never_deleted", event="DELETE", table="entry", body="SELECT 1"
            ),
        ),
        "guard entry_never_deleted is empty",
    ),
    "a guard's table": (
        (
            "DROP TRIGGER entry_never_deleted",
            _GUARD.format(
                name="entry_never_deleted",
                event="DELETE",
                table="draft",
                body="SELECT RAISE(ABORT, 'no')",
            ),
        ),
        "the trigger entry_never_deleted is not as",
    ),
    "what a guard holds fast": (
        (
            "DROP TRIGGER night_only_ends",
            "CREATE TRIGGER night_only_ends BEFORE UPDATE ON night WHEN FALSE "
            "BEGIN SELECT RAISE(ABORT, 'only the end of a night may change'); END",
        ),
        "the trigger night_only_ends is not as",
    ),
    "the index of words' filling": (
        (
            "DROP TRIGGER entry_words_follow",
            "CREATE TRIGGER entry_words_follow AFTER INSERT ON entry BEGIN SELECT 1; END",
        ),
        "guard entry_words_follow is empty",
    ),
    "nothing, with a trigger too many": (
        (
            "CREATE TRIGGER forgets AFTER INSERT ON draft "
            "BEGIN DELETE FROM draft WHERE rowid = NEW.rowid; END",
        ),
        "the trigger forgets is none of this program's",
    ),
}


def spoil(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in statements:
            connection.execute(statement)


def faults_of(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return list(schema_faults(connection))


@pytest.mark.parametrize("what", LOST)
def test_a_copy_that_lost_something_is_not_put_back(
    book_path: Path, what: str, capsys: pytest.CaptureFixture[str]
) -> None:
    statements, words = LOST[what]
    copy = backups.back_up(book_path, None, NOW)
    spoil(copy, *statements)
    before = book_path.read_bytes()
    with pytest.raises(BookRefused, match=r"Nothing was put back.*damaged") as refused:
        backups.restore(book_path, copy, NOW)
    assert words in str(refused.value)
    assert book_path.read_bytes() == before
    assert cli.main(["check", "--book", str(copy)]) == BookRefused.exit_code
    assert words in capsys.readouterr().out


@pytest.mark.parametrize("revision", ["0001", "0002", "0003", "0004", "0005"])
def test_a_book_of_each_revision_is_whole_and_can_be_put_back(
    book_path: Path, tmp_path: Path, revision: str
) -> None:
    copy = tmp_path / "older.db"
    copy.touch()
    fill_new_book(copy, book_state.APPLICATION_ID, NOW, revision=revision)
    assert faults_of(copy) == []
    backups.restore(book_path, copy, NOW)
    with open_book(book_path):  # brought up to date
        pass
    assert faults_of(book_path) == []


def test_a_table_that_was_made_again_is_as_before(book_path: Path) -> None:
    """As a migration does that changes a column: names stand in quotes then."""
    with closing(sqlite3.connect(book_path)) as connection:
        query = "SELECT sql FROM sqlite_master WHERE name = 'draft'"
        (sql,) = connection.execute(query).fetchone()
    spoil(
        book_path,
        sql.replace("CREATE TABLE draft", "CREATE TABLE other"),
        "DROP TABLE draft",
        "ALTER TABLE other RENAME TO draft",
    )
    assert faults_of(book_path) == []


def test_without_the_index_of_words_a_book_is_sound(book: Book, book_path: Path) -> None:
    spoil(book_path, "DROP TRIGGER entry_words_follow", "DROP TABLE entry_words")
    assert faults_of(book_path) == []
    assert book.findings() == ()


def test_a_loop_of_links_is_said_in_a_sentence(
    book_path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    one, other = tmp_path / "one.db", tmp_path / "other.db"
    os.symlink(other, one)
    os.symlink(one, other)
    for copy, book in ((book_path, one), (one, book_path)):
        assert cli.main(["restore", str(copy), "--book", str(book)]) == 2
        said = capsys.readouterr().err
        assert "Nothing was put back" in said
        assert "had to stop" not in said
    assert one.is_symlink()
