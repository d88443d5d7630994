"""Looking at a file, making a book, and opening one: what is not ours is left as it was."""

import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from logbook.errors import BookRefused, NoBook, NotWritten
from logbook.records.entries import NewEntry
from logbook.store.file import book_state, sqlite
from logbook.store.file.book_state import Condition, look
from logbook.store.opening import make_book, open_book
from tests.clock import EVENING

NOTE = NewEntry("note", EVENING, "dew on the corrector")


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {each.name: each.read_bytes() for each in folder.iterdir() if each.is_file()}


def set_revision(path: Path, revision: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("UPDATE alembic_version SET version_num = ?", (revision,))
        connection.commit()


def test_a_missing_book_is_said_to_be_missing_and_is_not_made(tmp_path: Path) -> None:
    path = tmp_path / "none.db"
    assert look(path).condition is Condition.MISSING
    with pytest.raises(NoBook, match=r"There is no book at .*none\.db"):
        open_book(path)
    assert list(tmp_path.iterdir()) == []


def test_a_new_book_opens_and_says_which_it_is(tmp_path: Path) -> None:
    path = make_book(tmp_path / "season" / "night.db")
    assert look(path) == book_state.BookState(path, Condition.CURRENT, book_state.HEAD)
    assert [each.name for each in path.parent.iterdir()] == ["night.db"]
    with open_book(path) as first:
        uid = first.uid
    with open_book(path) as second:
        assert second.uid == uid
        assert second.nights.summaries() == []
        assert second.sites.all() == ()


def test_two_new_books_are_different_books(tmp_path: Path) -> None:
    one, two = make_book(tmp_path / "one.db"), make_book(tmp_path / "two.db")
    with open_book(one) as first, open_book(two) as second:
        assert first.uid != second.uid


def test_making_a_book_never_overwrites(tmp_path: Path) -> None:
    path = tmp_path / "thesis.db"
    path.write_text("years of work")
    with pytest.raises(BookRefused, match="There is a file"):
        make_book(path)
    assert bytes_of(tmp_path) == {"thesis.db": b"years of work"}


def test_a_book_that_cannot_be_made_leaves_nothing(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    with pytest.raises(NotWritten, match="No book was made"):
        make_book(blocked / "night.db")
    assert bytes_of(tmp_path) == {"file": b"not a folder"}


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "not a book"),
        (b"dear diary", "not a book"),
        (b"SQLite format 3\0", "another program's database"),
        (b"\0" * 8192, "not a book"),
    ],
)
def test_a_file_that_is_no_book_is_refused_untouched(
    tmp_path: Path, content: bytes, words: str
) -> None:
    path = tmp_path / "diary.txt"
    path.write_bytes(content)
    with pytest.raises(BookRefused, match=words):
        open_book(path)
    assert bytes_of(tmp_path) == {"diary.txt": content}


def test_another_programs_database_is_refused_untouched(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE alembic_version (version_num)")
        connection.execute("INSERT INTO alembic_version VALUES ('0001')")
        connection.commit()
    before = bytes_of(tmp_path)
    with pytest.raises(BookRefused, match="another program's database"):
        open_book(path)
    assert bytes_of(tmp_path) == before


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BookRefused, match="cannot be read"):
        open_book(tmp_path)


def test_a_newer_book_is_refused_untouched(book_path: Path) -> None:
    set_revision(book_path, "0999")
    before = bytes_of(book_path.parent)
    assert look(book_path).condition is Condition.NEWER
    with pytest.raises(BookRefused, match="newer program"):
        open_book(book_path)
    assert bytes_of(book_path.parent) == before


@pytest.mark.parametrize("kept_bytes", [50, 4096, 20_000])
def test_a_cut_off_book_is_said_to_be_damaged_and_kept(book_path: Path, kept_bytes: int) -> None:
    cut = book_path.read_bytes()[:kept_bytes]
    book_path.write_bytes(cut)
    state = look(book_path)
    assert not state.opens
    with pytest.raises(BookRefused):
        open_book(book_path)
    assert book_path.read_bytes() == cut


def test_a_damaged_book_names_the_last_sound_copy(book_path: Path) -> None:
    copies = book_state.copies_folder(book_path)
    copies.mkdir()
    sqlite.back_up(book_path, copies / "night 2025-10-03.db")
    book_path.write_bytes(book_path.read_bytes()[:20_000])
    words = look(book_path).words
    assert "damaged" in words
    assert "night 2025-10-03.db" in words


def test_a_book_without_a_revision_is_damaged(book_path: Path) -> None:
    with closing(sqlite3.connect(book_path)) as connection:
        connection.execute("DELETE FROM alembic_version")
        connection.commit()
    assert look(book_path).condition is Condition.DAMAGED


def test_a_whole_check_finds_a_spoilt_page(book_path: Path) -> None:
    with open_book(book_path) as book:
        assert book.whole_check() == ""
    with closing(sqlite3.connect(book_path)) as connection:
        query = "SELECT rootpage FROM sqlite_master WHERE name = 'ix_turn_telescope'"
        page = connection.execute(query).fetchone()[0]
    content = bytearray(book_path.read_bytes())
    content[(page - 1) * 4096 : page * 4096] = b"\xa5" * 4096
    book_path.write_bytes(bytes(content))
    with open_book(book_path) as book:
        assert "damaged" in book.whole_check()


def test_a_book_opened_for_reading_keeps_nothing(book_path: Path) -> None:
    before = bytes_of(book_path.parent)
    with open_book(book_path, read_only=True) as book:
        assert book.read_only
        with pytest.raises(NotWritten, match="still here"):
            book.timeline.keep(None, NOTE)
        assert book.timeline.of_night(None) == ()
    assert bytes_of(book_path.parent) == before


def test_a_book_on_a_medium_that_cannot_be_written_can_be_read(
    book_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_book(book_path) as book:
        book.timeline.keep(None, NOTE)
    before = bytes_of(book_path.parent)
    monkeypatch.setattr(sqlite, "is_writable", lambda _path: False)
    with open_book(book_path) as book:
        assert book.read_only
        assert [each.content.text for each in book.timeline.of_night(None)] == [NOTE.text]
    assert bytes_of(book_path.parent) == before


def test_what_a_killed_program_left_is_read_from_a_medium_that_cannot_be_written(
    book_path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The newest entries are in the -wal only; opened as it lies, the book would not show them."""
    carried = tmp_path / "stick" / "night.db"
    carried.parent.mkdir()
    with open_book(book_path) as book:
        book.timeline.keep(None, NOTE)
        for name in ("night.db", "night.db-wal"):
            shutil.copyfile(book_path.with_name(name), carried.with_name(name))
    before = bytes_of(carried.parent)
    monkeypatch.setattr(sqlite, "is_writable", lambda _path: False)
    with open_book(carried) as book:
        assert [each.content.text for each in book.timeline.of_night(None)] == [NOTE.text]
    assert bytes_of(carried.parent) == before


def test_where_the_book_lies(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv(book_state.BOOK_VARIABLE, raising=False)
    assert book_state.chosen_book_path(None) == book_state.default_book_path()
    monkeypatch.setenv(book_state.BOOK_VARIABLE, str(tmp_path / "variable.db"))
    assert book_state.chosen_book_path(None) == tmp_path / "variable.db"
    assert book_state.chosen_book_path(str(tmp_path / "option.db")) == tmp_path / "option.db"


@pytest.mark.parametrize("name", ["50% moon?.db", "a#b.db", "Nächte.db"])
def test_any_file_name_will_do(tmp_path: Path, name: str) -> None:
    path = make_book(tmp_path / name)
    with open_book(path) as book:
        book.timeline.keep(None, NOTE)
    assert sorted(each.name for each in tmp_path.iterdir()) == [name]


def test_a_look_needs_no_database_library() -> None:
    """The first frame waits for a look; importing SQLAlchemy takes longer than drawing it."""
    program = (
        "import sys; from logbook.store import opening; from logbook.store.file import book_state; "
        "book_state.look(book_state.chosen_book_path()); "
        "print([n for n in ('sqlalchemy', 'alembic', 'numpy', 'astropy', 'textual') "
        "if n in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "[]"


def test_opening_a_current_book_needs_no_alembic(book_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from logbook.store.opening import open_book; "
        f"open_book(Path({str(book_path)!r})).close(); print('alembic' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "False"
