"""What takes a book's name: never under a foreign log, never half, and nothing of the old is lost.

Why a log must go first: SQLite plays NAME-wal or NAME-journal into whatever file is called NAME.
Source: sqlite.org/howtocorrupt.html, 1.4 and 2.
"""

import errno
import json
import os
import re
import shutil
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from datetime import date
from pathlib import Path

import pytest

from logbook import cli
from logbook.errors import BadInput, BookRefused, NotWritten
from logbook.records.entries import NewEntry
from logbook.store.book import Book
from logbook.store.demo import demo
from logbook.store.exchange.export import Exported
from logbook.store.file import backups, files, sqlite, swap
from logbook.store.file.book_state import Condition, look
from logbook.store.import_book import import_book
from logbook.store.opening import make_book, open_book
from tests.clock import EVENING
from tests.store.file.swaps import NOW, keep, leave_in_log, long_notes, notes_in

EARLY, MIDDLE, LAST = (long_notes(word, 12) for word in ("early", "middle", "last"))
WORDS = {
    "new": [each.split()[0] for each in EARLY],
    "old": [each.split()[0] for each in (*EARLY, *MIDDLE, *LAST)],
}


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a book whose last lines lie in its log, a copy of it, and its export."""
    folder = tmp_path_factory.mktemp("season")
    path = make_book(folder / "logbook.db")
    keep(path, *EARLY)
    backups.back_up(path, folder / "monday.db", NOW)
    with open_book(path, read_only=True) as book:
        exported: Exported = book.export(folder / "out")
    assert exported.entries == len(EARLY)
    keep(path, *MIDDLE)
    leave_in_log(path, *LAST)
    return folder


@pytest.fixture
def folder(season: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(season, tmp_path / "season"))


@pytest.fixture
def path(folder: Path) -> Path:
    return folder / "logbook.db"


def is_sound(path: Path) -> bool:
    with open_book(path, read_only=True) as book:
        return not any(each.is_damage for each in book.findings())


def move_away(path: Path) -> Path:
    """As a user does who has read that the book is damaged; the log is easily overlooked."""
    return path.rename(path.with_name("damaged.db"))


def run(*command: str) -> subprocess.CompletedProcess[str]:
    """A command of the real program."""
    return subprocess.run(
        [sys.executable, "-m", "logbook", *command],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


# The log of a book that was moved away


@pytest.mark.slow
@pytest.mark.parametrize("command", ["restore", "begin", "import"])
def test_the_log_of_a_moved_book_is_not_played_into_a_new_one(path: Path, command: str) -> None:
    folder = path.parent
    log = (folder / "logbook.db-wal").read_bytes()
    moved = move_away(path)
    given = {"restore": ["monday.db"], "begin": [], "import": ["out"]}[command]
    arguments = [str(folder / each) for each in given]
    done = run(command, *arguments, "--book", str(path))
    assert done.returncode == 0, done.stderr
    assert is_sound(path)
    assert notes_in(path) == ([] if command == "begin" else WORDS["new"])
    (saved,) = (folder / "logbook copies").glob("*-wal")
    assert saved.read_bytes() == log
    assert str(saved) in done.stderr
    # What the words say to do gives the last lines back.
    (to,) = re.findall(r"copy that book to (.*\.old), and", done.stderr)
    shutil.copyfile(moved, to)
    assert run("restore", to, "--book", str(path)).returncode == 0
    assert notes_in(path) == WORDS["old"]


def test_a_damaged_pair_is_saved_as_it_lies(path: Path) -> None:
    """The copy was put in place by hand, over the log of the book that had lain there."""
    folder = path.parent
    shutil.copyfile(folder / "monday.db", path)
    before = path.read_bytes(), (folder / "logbook.db-wal").read_bytes()
    aside = backups.restore(path, folder / "monday.db", NOW)
    assert is_sound(path)
    assert notes_in(path) == WORDS["new"]
    assert aside is not None
    assert (aside.read_bytes(), files.beside(aside, "-wal").read_bytes()) == before
    assert backups.copies_of(path)  # listing looks at it, and changes nothing
    assert (aside.read_bytes(), files.beside(aside, "-wal").read_bytes()) == before


@pytest.mark.slow
def test_the_last_lines_of_a_replaced_book_can_be_gone_back_to(path: Path) -> None:
    done = run("restore", str(path.parent / "monday.db"), "--book", str(path))
    assert notes_in(path) == WORDS["new"]
    (aside,) = re.findall(r"(/.*\.old)\.", done.stderr)
    assert aside in run("restore", "--book", str(path)).stdout
    assert run("restore", aside, "--book", str(path)).returncode == 0
    assert notes_in(path) == WORDS["old"]
    assert is_sound(path)


def test_a_rollback_journal_of_a_moved_book_goes_aside(path: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.db"
    shutil.copyfile(path.parent / "monday.db", other)
    with closing(sqlite3.connect(other, isolation_level=None)) as writing:
        writing.execute("PRAGMA cache_spill=1")
        writing.execute("PRAGMA cache_size=1")
        writing.execute("BEGIN")
        writing.execute("CREATE TABLE filler (words TEXT)")
        for number in range(300):
            writing.execute("INSERT INTO filler VALUES (?)", (f"{number}" * 900,))
        shutil.copyfile(f"{other}-journal", path.with_name("logbook.db-journal"))
    journal = path.with_name("logbook.db-journal").read_bytes()
    move_away(path)
    path.with_name("logbook.db-wal").unlink()
    aside = backups.restore(path, path.parent / "monday.db", NOW)
    assert notes_in(path) == WORDS["new"]
    assert aside is not None
    assert files.beside(aside, "-journal").read_bytes() == journal


def test_a_demo_and_the_copy_of_a_night_are_not_made_under_a_log(
    path: Path, season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(demo, "_built", lambda _: season / "monday.db")
    (tmp_path / "demo").mkdir()
    log = tmp_path / "demo/demo season.db-wal"
    shutil.copyfile(f"{path}-wal", log)
    made = demo.fresh_demo(tmp_path / "demo")
    assert not files.logs_of(made)
    assert log.exists()

    night = backups.back_up_night(path, date(2025, 10, 4))
    shutil.copyfile(season / "logbook.db-wal", files.beside(night, "-wal"))
    backups.back_up_night(path, date(2025, 10, 4))
    assert not files.logs_of(night)
    assert notes_in(night) == WORDS["old"]
    assert list(night.parent.glob("*.old"))


def test_a_backup_is_not_made_under_a_log(path: Path) -> None:
    to = path.with_name("copy.db")
    shutil.copyfile(f"{path}-wal", f"{to}-wal")
    with pytest.raises(BadInput, match=r"copy\.db-wal is there already"):
        backups.back_up(path, to, NOW)


@contextmanager
def without_links(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A file system that has no hard links, as sticks and cards have none."""

    def refused(*_: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    with monkeypatch.context() as patched:
        patched.setattr(os, "link", refused)
        yield


@pytest.mark.parametrize("links", [True, False])
def test_a_name_taken_late_is_refused_and_the_logs_of_its_book_stay(
    path: Path, monkeypatch: pytest.MonkeyPatch, *, links: bool
) -> None:
    """Two are made at once: when the second is whole, the first is open already."""
    new = path.with_name("new.db")
    with ExitStack() as opened:
        if not links:
            opened.enter_context(without_links(monkeypatch))

        def taken(_: Book) -> None:
            first = opened.enter_context(open_book(make_book(new)))
            first.timeline.keep(None, NewEntry("note", EVENING, "first"))
            assert files.logs_of(new)

        with pytest.raises(BookRefused, match="already"):
            make_book(new, fill=taken)
        assert files.beside(new, "-wal").exists()
    assert notes_in(new) == ["first"]
    assert is_sound(new)


def test_a_name_taken_at_the_last_instant_is_not_replaced_without_links(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    new, part = path.with_name("new.db"), path.with_name("monday.db")
    is_free = files.is_free

    def taken_after_a_look(each: Path) -> bool:
        found = is_free(each)
        new.write_text("mine", encoding="utf-8")
        return found

    monkeypatch.setattr(files, "is_free", taken_after_a_look)
    with without_links(monkeypatch), pytest.raises(files.NameTaken):
        files.move_into_free_place(part, [new])
    assert new.read_text(encoding="utf-8") == "mine"
    assert part.exists()


# What is put back


def without_an_index_row(path: Path) -> None:
    """Damage that a quick check passes over: a row that its index doesn't know."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA writable_schema=ON")
        held = connection.execute(
            "SELECT type, name, tbl_name, rootpage, sql FROM sqlite_master"
            " WHERE type = 'index' AND tbl_name = 'entry' AND sql IS NOT NULL"
        ).fetchone()
        connection.execute("DELETE FROM sqlite_master WHERE name = ?", (held[1],))
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute(_one_more_entry(connection))
        connection.execute("PRAGMA writable_schema=ON")
        connection.execute("INSERT INTO sqlite_master VALUES (?, ?, ?, ?, ?)", held)


def _one_more_entry(connection: sqlite3.Connection) -> str:
    names = [row[1] for row in connection.execute("PRAGMA table_info(entry)")]
    new = {"id": "id + 900", "uid": "lower(hex(randomblob(18)))"}
    values = ", ".join(new.get(name, name) for name in names)
    return f"INSERT INTO entry ({', '.join(names)}) SELECT {values} FROM entry LIMIT 1"


def without_a_guard(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("DROP TRIGGER entry_never_changed")


def with_a_row_that_points_nowhere(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        (guard,) = connection.execute(
            "SELECT sql FROM sqlite_master WHERE name = 'entry_never_changed'"
        ).fetchone()
        connection.execute("DROP TRIGGER entry_never_changed")
        connection.execute("UPDATE entry SET night_id = 77 WHERE id = 1")
        connection.execute(guard)
        connection.commit()


@pytest.mark.parametrize(
    "spoil", [without_an_index_row, without_a_guard, with_a_row_that_points_nowhere]
)
def test_a_damaged_copy_never_takes_a_sound_books_place(
    path: Path, spoil: Callable[[Path], None]
) -> None:
    bad = path.with_name("monday.db")
    spoil(bad)
    with closing(sqlite3.connect(bad)) as connection:
        assert connection.execute("PRAGMA quick_check").fetchall() == [("ok",)]
    done = run("restore", str(bad), "--book", str(path))
    assert done.returncode == 4
    assert "is damaged" in done.stderr
    assert notes_in(path) == WORDS["old"]
    assert not list(path.parent.glob("*.part"))


@pytest.mark.parametrize("spoil", [without_an_index_row, without_a_guard])
def test_no_copy_is_made_of_a_damaged_book(path: Path, spoil: Callable[[Path], None]) -> None:
    book = path.with_name("monday.db")
    spoil(book)
    with pytest.raises(BookRefused, match=r"is damaged .*logbook restore"):
        backups.back_up(book, path.with_name("copy.db"), NOW)
    assert not path.with_name("copy.db").exists()


def test_what_the_disk_gives_back_is_looked_at_before_done_is_said(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put = swap.put_in_place

    def spoilt(part: Path, to: Path, aside: Path) -> Path | None:
        saved = put(part, to, aside)
        without_an_index_row(to)
        return saved

    monkeypatch.setattr(swap, "put_in_place", spoilt)
    with pytest.raises(BookRefused, match=r"read back whole .* is saved"):
        backups.restore(path, path.with_name("monday.db"), NOW)


def test_words_that_cannot_be_read_back_are_damage_too(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite quotes the name that it cannot read, byte by byte."""
    put = swap.put_in_place

    def spoilt(part: Path, to: Path, aside: Path) -> Path | None:
        saved = put(part, to, aside)
        held = to.read_bytes()
        to.write_bytes(held.replace(b"CREATE TABLE site", b"CREATE TA\xffLE site"))
        return saved

    monkeypatch.setattr(swap, "put_in_place", spoilt)
    with pytest.raises(BookRefused, match=r"read back whole .* is saved"):
        backups.restore(path, path.with_name("monday.db"), NOW)


def test_the_copy_stays_as_it_is(path: Path) -> None:
    before = path.read_bytes(), path.with_name("logbook.db-wal").read_bytes()
    backups.restore(path.with_name("other.db"), path, NOW)
    assert notes_in(path.with_name("other.db")) == WORDS["old"]
    assert (path.read_bytes(), path.with_name("logbook.db-wal").read_bytes()) == before


def test_two_books_replaced_in_one_second_are_both_saved(path: Path) -> None:
    one = backups.restore(path, path.with_name("monday.db"), NOW)
    keep(path, "again")
    other = backups.restore(path, path.with_name("monday.db"), NOW)
    assert one is not None
    assert other is not None
    assert notes_in(one) == WORDS["old"]
    assert notes_in(other) == [*WORDS["new"], "again"]


# Links, and what is no file


def test_a_book_that_is_a_link_stays_one(path: Path, tmp_path: Path) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    for each in (path, *files.logs_of(path)):
        each.rename(stick / each.name)
    path.symlink_to(os.path.relpath(stick / "logbook.db", path.parent))
    aside = backups.restore(path, path.with_name("monday.db"), NOW)
    assert path.is_symlink()
    assert notes_in(stick / "logbook.db") == WORDS["new"]
    assert aside is not None
    assert not aside.is_symlink()
    assert notes_in(aside) == WORDS["old"]


def test_no_book_is_made_at_a_link_to_a_stick_that_is_out(tmp_path: Path) -> None:
    path = tmp_path / "logbook.db"
    path.symlink_to(tmp_path / "stick" / "logbook.db")
    with pytest.raises(BookRefused, match="put the stick"):
        make_book(path)
    assert look(path).condition is Condition.MISSING


@pytest.mark.parametrize(
    "command", [["nights"], ["check"], ["backup"], ["restore", "monday.db"], ["add", "note x"]]
)
def test_a_pipe_is_refused_instead_of_waited_for(path: Path, command: list[str]) -> None:
    pipe = path.with_name("pipe.db")
    os.mkfifo(pipe)
    arguments = [str(path.parent / each) if each.endswith(".db") else each for each in command]
    done = run(*arguments, "--book", str(pipe))
    assert done.returncode in (2, 4)
    assert "no ordinary file" in done.stderr
    assert stat.S_ISFIFO(pipe.stat().st_mode)


def test_a_device_is_no_book() -> None:
    assert look(Path("/dev/zero")).condition is Condition.FOREIGN


# Held by another program

HOLDS = """
import sqlite3, sys
held = sqlite3.connect(sys.argv[1], isolation_level=None)
if sys.argv[2] == "alone":
    held.execute("PRAGMA locking_mode=EXCLUSIVE")
    held.execute("BEGIN EXCLUSIVE")
held.execute("SELECT count(*) FROM entry").fetchone()
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def holder(path: Path, request: pytest.FixtureRequest) -> Iterator[None]:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDS, str(path), request.param],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "held\n"
        yield
        assert program.stdin is not None
        program.stdin.close()


@pytest.mark.usefixtures("holder")
@pytest.mark.parametrize("holder", ["alone"], indirect=True)
def test_a_backup_gives_up_where_another_program_holds_the_book(path: Path) -> None:
    done = run("backup", str(path.with_name("copy.db")), "--book", str(path))
    assert done.returncode == 5
    assert "another program holds the book" in done.stderr
    assert not path.with_name("copy.db").exists()


@pytest.mark.usefixtures("holder")
@pytest.mark.parametrize("holder", ["alone", "open"], indirect=True)
def test_a_held_book_is_not_replaced(path: Path) -> None:
    done = run("restore", str(path.with_name("monday.db")), "--book", str(path))
    assert done.returncode == 4
    assert "open. Close it there" in done.stderr
    assert not list(path.parent.rglob("*.old*"))


def test_a_book_is_held_until_it_is_replaced_where_there_are_no_links(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closing any descriptor of a file lets go of every POSIX lock that the process has on it.

    Source: sqlite.org/howtocorrupt.html, 2.2.
    """
    replace, answers = os.replace, []

    def watched(part: Path, to: Path) -> None:
        if to == path:
            answers.append(_written_by_another(path))
        replace(part, to)

    monkeypatch.setattr(os, "replace", watched)
    with without_links(monkeypatch):
        aside = backups.restore(path, path.with_name("monday.db"), NOW)
    assert answers == ["database is locked"]
    assert notes_in(path) == WORDS["new"]
    assert aside is not None
    assert notes_in(aside) == WORDS["old"]
    assert is_sound(aside)


WRITES = """
import sqlite3, sys
try:
    sqlite3.connect(sys.argv[1], timeout=0, isolation_level=None).execute("BEGIN IMMEDIATE")
except sqlite3.OperationalError as error:
    print(error, end="")
"""


def _written_by_another(path: Path) -> str:
    """Why another program cannot write in the book; "" if it can."""
    command = [sys.executable, "-c", WRITES, str(path)]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


@pytest.mark.parametrize("answers", [[], [True], [True, True, True]])
def test_a_copy_is_given_up_when_asked(
    path: Path, monkeypatch: pytest.MonkeyPatch, answers: list[bool]
) -> None:
    monkeypatch.setattr(sqlite, "_PAGES_AT_ONCE", 20)
    monkeypatch.setattr(sqlite, "_STEPS_AT_ONCE", 100)
    asked = iter(answers)
    with pytest.raises(NotWritten, match="No copy was made"):
        backups.back_up_night(path, date(2025, 10, 4), go_on=lambda: next(asked, False))
    assert list((path.parent / "logbook copies").iterdir()) == []


# For their user alone, under names of their own


def mode_of(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_new_books_copies_and_crash_logs_are_for_their_user_alone(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from logbook import crash_log

    monkeypatch.setattr("platformdirs.user_log_path", lambda *_, **__: tmp_path / "logs")
    monkeypatch.setattr(crash_log, "datetime", _Still)
    made = make_book(tmp_path / "new.db")
    logs = [crash_log.write_crash_log(ValueError(word)) for word in ("one", "other")]
    import_book(path.parent / "out", tmp_path / "imported.db")
    night = backups.back_up_night(path, date(2025, 10, 4))
    copied = [backups.back_up(path, None, NOW) for _ in range(2)]
    assert len(set(copied)) == len(set(logs)) == 2
    private = [made, tmp_path / "imported.db", night, *copied]
    assert {mode_of(each) for each in (*private, *(each for each in logs if each))} == {0o600}
    with open_book(made) as opened:
        assert opened.uid
        assert mode_of(files.beside(made, "-wal")) == 0o600


class _Still:
    @staticmethod
    def now(_zone: object) -> object:
        return NOW


def test_a_book_that_others_may_read_stays_so(path: Path) -> None:
    path.chmod(0o640)
    backups.restore(path, path.with_name("monday.db"), NOW)
    assert mode_of(path) == 0o640


def test_temporary_names_are_made_exclusively_and_never_followed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("secrets.token_hex", lambda _: "foreseen")
    (tmp_path / "victim").write_text("mine", encoding="utf-8")
    (tmp_path / "page.txt.foreseen.part").symlink_to(tmp_path / "victim")
    with pytest.raises(FileExistsError), files.replacing(tmp_path / "page.txt") as out:
        out.write("yours")
    assert (tmp_path / "victim").read_text(encoding="utf-8") == "mine"


def test_a_missing_book_beside_its_copies_is_told_from_a_first_start(path: Path) -> None:
    copy = backups.back_up(path, None, NOW)
    path.unlink()
    words = look(path).words
    assert f'logbook restore "{copy}"' in words
    assert cli.main(["restore", str(copy), "--book", str(path)]) == 0


# Killed at every step


@pytest.fixture
def killed(folder: Path) -> Callable[[str], tuple[list[str], list[dict[str, object]]]]:
    def trials(kind: str) -> tuple[list[str], list[dict[str, object]]]:
        done = subprocess.run(
            [sys.executable, "-m", "tests.store.file.swaps", kind, str(folder)],
            capture_output=True,
            text=True,
            check=False,
            timeout=600,
        )
        assert done.returncode == 0, done.stderr
        first, *rest = [json.loads(line) for line in done.stdout.splitlines()]
        assert [each["killed"] for each in rest] == [True] * (len(rest) - 1) + [False]
        assert len(rest) > 8
        return first["before"], rest

    return trials


Killed = Callable[[str], tuple[list[str], list[dict[str, object]]]]


@pytest.mark.slow
def test_a_restore_killed_at_any_step_leaves_the_old_book_or_the_new(killed: Killed) -> None:
    _, trials = killed("restore")
    states = [each["state"] for each in trials]
    assert set(states) == {" ".join(WORDS["old"]), " ".join(WORDS["new"])}


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "new"), [("restore", "new"), ("import", "new"), ("begin", "")])
def test_a_moved_books_log_is_whole_after_a_kill_at_any_step(
    path: Path, killed: Killed, kind: str, new: str
) -> None:
    log = path.with_name("logbook.db-wal").read_bytes()
    move_away(path)
    _, trials = killed(kind)
    wanted = " ".join(WORDS[new]) if new else "empty"
    assert {each["state"] for each in trials} == {"missing", wanted}
    left = [each.read_bytes() for each in path.parent.with_name("trial").rglob("*-wal")]
    assert log in left


@pytest.mark.slow
def test_a_damaged_pair_is_whole_somewhere_after_a_kill_at_any_step(
    path: Path, killed: Killed
) -> None:
    shutil.copyfile(path.with_name("monday.db"), path)
    before, trials = killed("restore")
    (pair,) = (each for each in before if not each.endswith(" -"))
    for trial in trials:
        together = trial["together"]
        assert isinstance(together, list)
        assert pair in together
    assert trials[-1]["state"] == " ".join(WORDS["new"])
