"""Books that other files take the place of, and a program that is killed at every step of that.

Run as a module it kills: each step (a file opened, renamed, linked, removed, synced; a statement to
the book under its name) is one trial in a process of its own. It prints what each trial left.
"""

import json
import os
import shutil
import signal
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from logbook.records.entries import NewEntry
from logbook.store import opening
from logbook.store.file import backups, book_state, sqlite
from logbook.store.file.integrity import damage
from logbook.store.import_book import import_book
from logbook.store.opening import open_book
from tests.clock import EVENING

NOW = datetime(2025, 10, 5, 4, 0, tzinfo=UTC)
STEPS = {"open", "os.rename", "os.link", "os.remove", "os.mkdir", "os.chmod", "sqlite3.connect"}


def keep(path: Path, *texts: str) -> None:
    with open_book(path) as book:
        for text in texts:
            book.timeline.keep(None, NewEntry("note", EVENING, text))


def notes_in(path: Path) -> list[str]:
    """The first word of every note, oldest first."""
    with open_book(path, read_only=True) as opened:
        return [each.content.text.split()[0] for each in opened.timeline.latest(500)][::-1]


def leave_in_log(path: Path, *texts: str) -> None:
    """Keep notes as a program does that is killed: they lie in the -wal alone."""
    away = path.with_name("in-use.db")
    shutil.copyfile(path, away)
    with open_book(away) as book:
        for text in texts:
            book.timeline.keep(None, NewEntry("note", EVENING, text))
        shutil.copyfile(away, path)
        shutil.copyfile(f"{away}-wal", f"{path}-wal")
        shutil.copyfile(f"{away}-shm", f"{path}-shm")
    away.unlink()


def long_notes(word: str, count: int) -> list[str]:
    """Notes that fill pages, so that one book's log fits no other book."""
    return [f"{word}{number} {'x' * 1900}" for number in range(count)]


# Killing


def state(path: Path) -> str:
    """What a user finds under the name."""
    if not path.exists():
        return "missing"
    if not book_state.look(path).opens:
        return "damaged"
    try:
        with closing(sqlite.connect(path)) as opened:
            if list(damage(opened)):
                return "damaged"
            rows = opened.execute("SELECT text FROM entry ORDER BY id").fetchall()
    except sqlite3.Error:
        return "damaged"
    return " ".join(text.split()[0] for (text,) in rows) or "empty"


def held_together(folder: Path) -> list[str]:
    """Every file with its log as they lie, so that one can tell whether a pair is still whole."""
    found = []
    for path in sorted(folder.rglob("*")):
        if path.is_file() and path.suffix in (".db", ".old"):
            log = path.with_name(f"{path.name}-wal")
            found.append(f"{_mark(path)} {_mark(log)}")
    return found


def _mark(path: Path) -> str:
    return f"{hash(path.read_bytes())}" if path.exists() else "-"


def _restore(folder: Path) -> None:
    backups.restore(folder / "logbook.db", folder / "monday.db", NOW)


def _begin(folder: Path) -> None:
    opening.make_book(folder / "logbook.db")


def _import(folder: Path) -> None:
    import_book(folder / "out", folder / "logbook.db")


KINDS: dict[str, Callable[[Path], None]] = {
    "restore": _restore,
    "begin": _begin,
    "import": _import,
}


def killed_at(step: int, run: Callable[[Path], None], folder: Path) -> bool:
    """Whether `run`, in a process of its own, got as far as that step, and was killed there."""
    child = os.fork()
    if child == 0:
        _kill_at(step, str(folder))
        run(folder)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    if os.WIFEXITED(status) and os.WEXITSTATUS(status) == 0:
        return False
    assert os.WIFSIGNALED(status)
    assert os.WTERMSIG(status) == signal.SIGKILL
    return True


def _kill_at(step: int, folder: str) -> None:
    left = [step]

    def one_more(*_: object) -> None:
        left[0] -= 1
        if left[0] == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def hook(event: str, arguments: tuple[object, ...]) -> None:
        if event in STEPS and any(folder in str(each) for each in arguments):
            one_more()

    def counted_connect(database: str, **settings: Any) -> sqlite3.Connection:
        connection: sqlite3.Connection = connect(database, **settings)
        if "logbook.db" in str(database) and ".part" not in str(database):
            connection.set_trace_callback(one_more)
        return connection

    def counted_sync(fd: Any) -> None:
        one_more()
        sync(fd)

    connect, sqlite3.connect = sqlite3.connect, counted_connect  # type: ignore[assignment]
    sync, os.fsync = os.fsync, counted_sync
    sys.addaudithook(hook)


def trials(kind: str, template: Path) -> Iterator[dict[str, object]]:
    for step in range(1, 500):
        folder = template.with_name("trial")
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(template, folder)
        killed = killed_at(step, KINDS[kind], folder)
        together = held_together(folder)
        yield {"killed": killed, "state": state(folder / "logbook.db"), "together": together}
        if not killed:
            return


def main(kind: str, template: str) -> None:
    before = held_together(Path(template))
    print(json.dumps({"before": before}))
    for trial in trials(kind, Path(template)):
        print(json.dumps(trial))


if __name__ == "__main__":
    main(*sys.argv[1:])
