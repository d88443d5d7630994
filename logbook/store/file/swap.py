"""One file put in the place of a book: its name always has the old one or the new one, whole.

What SQLite left beside a book goes away with it before another file gets the name. A sound book
first takes in its log; of anything else, both are saved as they lie, to be gone back to.
"""

import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

from logbook.errors import BookRefused
from logbook.store.file import files, sqlite

_HELD = (
    "Nothing was put back: another program has the book at {path} open. "
    "Close it there, then try again."
)
_WAIT_S = 0.2


def put_in_place(part: Path, path: Path, aside: Path) -> Path | None:
    """Give the whole file `part` the name `path`; what lay there is at the path returned.

    path -- no link; see `files.real_path`.
    aside -- where what lies there goes, a log with its ending; numbered if that is taken.

    Raises BookRefused if another program holds the book, OSError.
    """
    if not os.path.lexists(path):
        return put_new(part, path, aside)
    _forget_unfinished(path, aside)
    aside.parent.mkdir(parents=True, exist_ok=True)
    aside = next(each for each in files.numbered(aside) if files.is_free(each))
    swap = _swap_sound if _is_sound(path) else _swap_as_it_lies
    swap(part, path, aside)
    files.sync_folder(path.parent)
    return aside


def put_new(part: Path, path: Path, aside: Path) -> Path | None:
    """Give the whole file `part` the free name `path`; what a log that lay there now belongs to.

    Raises NameTaken if the name was taken meanwhile, with the logs there left alone; OSError.
    """
    saved = _set_logs_aside(path, aside)
    files.move_into_free_place(part, [path])
    return saved


def aside_words(aside: Path) -> str:
    """Where what lay there is now, and how to go back to it."""
    if aside.exists():
        return (
            f"The book that was there is saved, its last lines with it: {aside}. "
            "`logbook restore` goes back to it as to any copy."
        )
    logs = " and ".join(str(each) for each in _with_lines(aside))
    return (
        f"A log lay there without its book; it is saved: {logs}. The last lines of the book that "
        f"was moved away may be in it: copy that book to {aside}, and `logbook restore` goes back "
        "to both."
    )


def _set_logs_aside(path: Path, aside: Path) -> Path | None:
    """Move away what SQLite left of a book that is no longer at `path`; None if no lines in it.

    The path returned is that of the book which the logs now lie beside; there is none yet.
    """
    logs = files.logs_of(path)
    if os.path.lexists(path):  # looked for after its logs: those of a book just made stay with it
        raise files.NameTaken
    if not logs:
        return None
    aside.parent.mkdir(parents=True, exist_ok=True)
    aside = next(each for each in files.numbered(aside) if files.is_free(each))
    for log in logs:
        shutil.move(log, files.beside(aside, log.name.removeprefix(path.name)))
    files.sync_folder(aside.parent)
    files.sync_folder(path.parent)
    return aside if _with_lines(aside) else None


def _with_lines(path: Path) -> list[Path]:
    """Those of a book's logs that may hold lines of it; the -shm is only an index of another."""
    held = (files.beside(path, ending) for ending in ("-wal", "-journal"))
    return [each for each in held if each.exists() and each.stat().st_size > 0]


def _forget_unfinished(path: Path, aside: Path) -> None:
    """A second name of the book itself is left by a swap that was killed: it was never moved."""
    if not aside.parent.is_dir():
        return
    for left in aside.parent.iterdir():
        if left.suffix == aside.suffix and left.exists() and left.samefile(path):
            left.unlink()


def _is_sound(path: Path) -> bool:
    """Whether the file and its log make a whole book together. Neither is touched."""
    try:
        with closing(sqlite.connect(path, untouched=True)) as connection:
            found = connection.execute("PRAGMA integrity_check(1)").fetchall()
    except (sqlite3.Error, UnicodeDecodeError):
        return False
    return found == [("ok",)]


def _swap_sound(part: Path, path: Path, aside: Path) -> None:
    with _held_without_log(path) as held:
        _second_name(held, path, aside)
        for log in files.logs_of(path):
            log.unlink()
        os.replace(part, path)


def _swap_as_it_lies(part: Path, path: Path, aside: Path) -> None:
    try:
        _copy_as_it_lies(path, aside)
        _refuse_if_held(path)
    except (BookRefused, OSError):
        for copied in (aside, *files.logs_of(aside)):
            copied.unlink(missing_ok=True)
        raise
    for log in files.logs_of(path):
        log.unlink()
    os.replace(part, path)


def _copy_as_it_lies(path: Path, aside: Path) -> None:
    """All of it, the logs first: SQLite may play them into the file as soon as it opens it."""
    for source in (*files.logs_of(path), path):
        target = files.beside(aside, source.name.removeprefix(path.name))
        # A log goes when another program is done with the book.
        with suppress(FileNotFoundError), files.temporary_beside(target) as copied:
            shutil.copyfile(source, copied)
            files.sync_file(copied)
            os.replace(copied, target)
    files.sync_folder(aside.parent)


@contextmanager
def _held_without_log(path: Path) -> Iterator[sqlite3.Connection]:
    """Have a sound book alone, with all that its log held moved into it and the log gone.

    Nothing else may open the file meanwhile: whatever this process closes of it lets go of the
    lock. Source: sqlite.org/howtocorrupt.html, 2.2.
    """
    uri = f"{path.as_uri()}?mode=rw"
    try:
        with closing(sqlite3.connect(uri, uri=True, timeout=_WAIT_S, isolation_level=None)) as held:
            # Without a journal of its own the connection leaves no file to remove when it ends,
            # by a name that is the new book's by then.
            modes = held.execute("PRAGMA journal_mode=DELETE").fetchone()
            held.execute("PRAGMA locking_mode=EXCLUSIVE")  # so that the lock outlasts this:
            held.execute("BEGIN EXCLUSIVE")
            held.execute("ROLLBACK")
            if held.execute("PRAGMA journal_mode").fetchone() != modes or modes != ("delete",):
                raise BookRefused(_HELD.format(path=path))
            yield held
    except sqlite3.Error as error:
        if sqlite.is_busy(error):
            raise BookRefused(_HELD.format(path=path)) from error
        raise


def _second_name(held: sqlite3.Connection, path: Path, aside: Path) -> None:
    try:
        os.link(path, aside)
    except FileExistsError:
        raise
    except OSError:  # another disk, or a file system without links
        with files.temporary_beside(aside) as part:
            with closing(sqlite3.connect(part)) as copy:
                held.backup(copy)
            part.chmod(path.stat().st_mode & 0o777)
            files.sync_file(part)
            os.replace(part, aside)
    files.sync_folder(aside.parent)


def _refuse_if_held(path: Path) -> None:
    """A book open elsewhere would go on being written where nobody looks for it."""
    try:
        with closing(sqlite3.connect(path, timeout=_WAIT_S, isolation_level=None)) as connection:
            connection.execute("PRAGMA locking_mode=EXCLUSIVE")
            connection.execute("BEGIN EXCLUSIVE")
            connection.execute("ROLLBACK")
    except sqlite3.Error as error:
        if sqlite.is_busy(error):
            raise BookRefused(_HELD.format(path=path)) from error
