"""A full disk, a stick pulled out, a book held by another program, and kill -9."""

import os
import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest

from logbook.errors import BookRefused, LogbookError, NotWritten
from logbook.records.entries import NewEntry, NightRecord
from logbook.store.book import Book
from logbook.store.file import sqlite
from logbook.store.file.book_state import look
from logbook.store.file.readable_copy import ReadablePlace
from logbook.store.opening import make_book, open_book
from logbook.store.timeline import rows
from tests.clock import EVENING

MakeNote = Callable[..., NewEntry]


def texts(book: Book) -> list[str]:
    return [each.content.text for each in book.timeline.of_night(None)]


def keep_until_refused(book: Book, note: MakeNote) -> tuple[int, str]:
    """How many long notes could be saved, and what was shown for the next."""
    for number in range(2000):
        try:
            book.timeline.keep(None, note(f"{number} " + "x" * 3000))
        except NotWritten as refused:
            return number, str(refused)
    return 2000, ""


def test_a_full_disk_loses_nothing_and_the_line_can_be_kept_later(
    book: Book, note: MakeNote, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The disk is made full by forbidding the file to grow."""
    connect = sqlite.connect
    limit = 0

    def small(path: Path, **how: bool) -> sqlite3.Connection:
        connection = connect(path, **how)
        if limit:
            connection.execute(f"PRAGMA max_page_count = {limit}")
        return connection

    monkeypatch.setattr(sqlite, "connect", small)
    limit = 1  # SQLite takes this as "no page more than there are"
    with open_book(book.path) as full:
        kept, refused = keep_until_refused(full, note)
        assert "disk is full" in refused
        assert "still here" in refused
        assert len(texts(full)) == kept
    limit = 0
    with open_book(book.path) as roomy:
        assert len(texts(roomy)) == kept
        roomy.timeline.keep(None, note("now it fits"))
        assert roomy.whole_check() == ""


@contextmanager
def no_file_longer_than(size: int) -> Iterator[None]:
    """As on a disk that is full; Python itself ignores the signal of it."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@pytest.fixture
def spilling_book(book_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Book]:
    """A book whose changes are written long before their commit, as where memory is short."""
    connect = sqlite.connect

    def spilling(path: Path, **how: bool) -> sqlite3.Connection:
        connection = connect(path, **how)
        connection.execute("PRAGMA cache_size = 10")
        return connection

    monkeypatch.setattr(sqlite, "connect", spilling)
    with open_book(book_path) as book:
        yield book


@pytest.mark.parametrize("room", [100, 4_200, 20_000, 60_000])
@pytest.mark.parametrize("goes_on", [False, True])
def test_a_disk_that_fails_within_a_job_is_said_and_nothing_of_the_job_is_there(
    spilling_book: Book, note: MakeNote, room: int, goes_on: bool
) -> None:
    """SQLite rolls back the whole transaction then: what a job wrote next would be on disk."""
    book = spilling_book
    book.timeline.keep(None, note("before"))
    size = Path(f"{book.path}-wal").stat().st_size
    refusals = (NotWritten,) if goes_on else ()

    def long_job() -> None:
        with book.writing("a long job"):
            for number in range(200):
                with suppress(*refusals):
                    book.timeline.keep(None, note(f"{number} " + "x" * 3000))

    with no_file_longer_than(size + room), pytest.raises(NotWritten, match="disk gave an error"):
        long_job()
    assert texts(book) == ["before"]
    book.timeline.keep(None, note("after"))
    assert texts(book) == ["before", "after"]
    assert book.whole_check() == ""


def test_a_stick_pulled_out_is_noticed_before_the_next_entry(
    book: Book, book_path: Path, note: MakeNote, tmp_path: Path
) -> None:
    """SQLite would go on writing into a file that has no name any more."""
    book.timeline.keep(None, note("before"))
    away = tmp_path / "away"
    away.mkdir()
    names = [each.name for each in tmp_path.iterdir() if each.name.startswith("night.db")]
    for name in names:
        shutil.move(tmp_path / name, away / name)
    with pytest.raises(NotWritten, match=r"is gone.*still here"):
        book.timeline.keep(None, note("lost?"))
    assert not book_path.exists()
    for name in names:
        shutil.move(away / name, tmp_path / name)
    book.timeline.keep(None, note("after"))
    with open_book(book_path) as again:
        assert texts(again) == ["before", "after"]


def test_another_book_in_the_place_of_the_open_one_is_not_written(
    book: Book, book_path: Path, note: MakeNote, tmp_path: Path
) -> None:
    book.timeline.keep(None, note("mine"))
    other = make_book(tmp_path / "other.db")
    for name in ("night.db", "night.db-wal", "night.db-shm"):
        (tmp_path / name).rename(tmp_path / f"kept-{name}")
    other.rename(book_path)
    with pytest.raises(BookRefused, match="Another book lies"):
        book.timeline.keep(None, note("into the wrong one?"))
    with open_book(book_path) as wrong:
        assert texts(wrong) == []


def test_no_connection_ever_makes_a_file(tmp_path: Path) -> None:
    """After a stick was pulled, making one would begin an empty book at the mount point."""
    with pytest.raises(sqlite3.OperationalError):
        sqlite.connect(tmp_path / "none.db")
    assert list(tmp_path.iterdir()) == []


def test_two_programs_that_write_at_once_both_keep_everything(
    book_path: Path, note: MakeNote
) -> None:
    """Each correction reads, then writes: without the lock from the start, many would fail."""
    each = 60
    failures: list[Exception] = []

    def correct_again_and_again(name: str) -> None:
        try:
            with open_book(book_path) as book:
                kept = book.timeline.keep(None, note(f"{name} 0"))
                for number in range(1, each):
                    kept = book.timeline.correct(kept.id, note(f"{name} {number}"))
        except LogbookError as error:
            failures.append(error)

    threads = [threading.Thread(target=correct_again_and_again, args=(name,)) for name in "ab"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    with open_book(book_path) as book:
        assert sorted(texts(book)) == [f"a {each - 1}", f"b {each - 1}"]
        assert [len(book.timeline.history(line.id)) for line in book.timeline.of_night(None)] == [
            each,
            each,
        ]


def test_a_book_held_by_another_program_is_waited_for_then_said_so(
    book_path: Path, note: MakeNote, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite, "BUSY_TIMEOUT_MS", 20)
    with open_book(book_path) as book, closing(sqlite.connect(book_path)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NotWritten, match="another program is writing"):
            book.timeline.keep(None, note("waits"))
        assert texts(book) == []
        other.execute("ROLLBACK")
        book.timeline.keep(None, note("goes on"))
        assert texts(book) == ["goes on"]


@pytest.mark.parametrize(
    ("name", "kind", "words"),
    [
        ("SQLITE_FULL", NotWritten, "disk is full"),
        ("SQLITE_IOERR_WRITE", NotWritten, "the disk gave an error"),
        ("SQLITE_IOERR_FSYNC", NotWritten, "SQLITE_IOERR_FSYNC"),
        ("SQLITE_READONLY_DBMOVED", NotWritten, "may only be read"),
        ("SQLITE_BUSY_SNAPSHOT", NotWritten, "another program"),
        ("SQLITE_LOCKED", NotWritten, "another program"),
        ("SQLITE_CANTOPEN", NotWritten, "is gone"),
        ("SQLITE_CONSTRAINT_CHECK", NotWritten, "does not take this"),
        ("SQLITE_CORRUPT", BookRefused, "damaged"),
        ("SQLITE_NOTADB", BookRefused, "damaged"),
    ],
)
def test_each_error_of_the_file_is_said_in_words(
    tmp_path: Path, name: str, kind: type[Exception], words: str
) -> None:
    error = sqlite3.OperationalError("as SQLite has it")
    error.sqlite_errorname = name
    told = sqlite.in_words(error, tmp_path / "none.db")
    assert isinstance(told, kind)
    assert words in str(told)
    if kind is NotWritten:
        assert "still here" in str(told)


def test_a_book_on_a_disk_that_is_full_is_not_called_damaged(
    book_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorname = "SQLITE_IOERR_SHMSIZE"

    def fails(*_: object, **__: object) -> None:
        raise error

    monkeypatch.setattr(ReadablePlace, "connect", fails)
    with pytest.raises(BookRefused, match="its disk may be full") as refused:
        open_book(book_path)
    assert "damaged" not in str(refused.value)


def test_a_copy_of_a_book_in_use_is_whole(
    book: Book, book_path: Path, note: MakeNote, tmp_path: Path
) -> None:
    """What was just saved lies in the -wal; copying the file alone would leave it behind."""
    book.timeline.keep(None, note("just now"))
    copy = tmp_path / "copies" / "copy.db"
    copy.parent.mkdir()
    sqlite.back_up(book_path, copy)
    assert [each.name for each in copy.parent.iterdir()] == ["copy.db"]
    with open_book(copy) as opened:
        assert texts(opened) == ["just now"]
        assert opened.uid == book.uid


def test_a_copy_that_fails_leaves_the_one_before(book_path: Path, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    sqlite.back_up(book_path, copy)
    before = copy.read_bytes()
    spoilt = tmp_path / "spoilt.db"
    spoilt.write_bytes(book_path.read_bytes()[:20_000])
    with pytest.raises(BookRefused):
        sqlite.back_up(spoilt, copy)
    assert copy.read_bytes() == before
    assert not list(tmp_path.glob("*.part"))
    with pytest.raises(NotWritten):
        sqlite.back_up(book_path, tmp_path / "no folder" / "copy.db")


KEEPS_UNTIL_KILLED = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from logbook.store.opening import open_book
from logbook.records.entries import NewEntry

book = open_book(Path(sys.argv[1]))
number = 0
while True:
    new = NewEntry("reading", datetime.now(UTC), f"air {number}",
                   readings=(("air_temperature_c", 4.0),))
    kept = book.timeline.keep(None, new)
    if number % 5 == 4:
        kept = book.timeline.correct(kept.id, new)
    print(kept.id, flush=True)
    number += 1
"""


def kill_while_keeping(path: Path, lines: int) -> list[int]:
    """Start a program that keeps entries, kill it after it printed `lines` ids; these ids."""
    program = subprocess.Popen(
        [sys.executable, "-c", KEEPS_UNTIL_KILLED, str(path)],
        stdout=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        text=True,
    )
    assert program.stdout is not None
    said = [program.stdout.readline() for _ in range(lines)]
    program.kill()
    rest, _ = program.communicate()
    assert program.returncode == -signal.SIGKILL
    whole = [line for line in (*said, *rest.splitlines(keepends=True)) if line.endswith("\n")]
    return [int(line) for line in whole]


def test_no_acknowledged_entry_is_lost_by_kill_9(book_path: Path) -> None:
    acknowledged: list[int] = []
    for attempt in range(12):
        acknowledged += kill_while_keeping(book_path, 1 + 3 * attempt)
        assert look(book_path).opens
        with open_book(book_path) as book:
            standing = {each.id for each in book.timeline.of_night(None)}
            assert set(acknowledged) <= standing
            assert book.whole_check() == ""
    assert len(acknowledged) == len(set(acknowledged)) >= 200


def test_an_entry_and_its_numbers_are_kept_together_or_not_at_all(
    book: Book, night: NightRecord, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise OSError("pulled the plug")

    entry = NewEntry("reading", EVENING, "air 4", readings=(("air_temperature_c", 4.0),))
    with monkeypatch.context() as patched:
        patched.setattr(rows, "records_of", fails)
        with pytest.raises(OSError, match="pulled the plug"):
            book.timeline.keep(night.id, entry)
    assert book.timeline.of_night(night.id) == ()
