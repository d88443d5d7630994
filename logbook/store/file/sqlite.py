"""What is SQLite's own: connecting, the pragmas, checked copies, and what its errors mean.

Only the standard library is imported, so that a book can be looked at before the first frame.
"""

import os
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from logbook.errors import BookRefused, NotWritten
from logbook.store.file import files
from logbook.store.file.integrity import damage

BUSY_TIMEOUT_MS = 5000
AT_ONCE_MS = 50  # for what is tried again anyway; long enough for one entry of another program
_HELD = (5, 6)  # SQLITE_BUSY, SQLITE_LOCKED. Source: sqlite.org/rescode.html
_PAGES_AT_ONCE = 1000  # copied between two looks at whether to go on: 4 MB
_STEPS_AT_ONCE = 100_000  # of SQLite's, checked between two such looks: some milliseconds
STILL_HERE = "What was typed is still here"

_FULL = f"Not saved: the disk is full. {STILL_HERE}: free some space and try again."
_READ_ONLY = (
    "Not saved: the book at {path} may only be read. "
    f"{STILL_HERE}: copy the book to a place that can be written, or allow writing, and try again."
)
_BUSY = (
    "Not saved: another program is writing in the book at {path}. "
    f"{STILL_HERE}: try again in a moment."
)
_FAILED = (
    "Not saved: the disk gave an error at {path} ({name}). "
    f"{STILL_HERE}: check the disk or the stick, then try again."
)
_GONE = (
    "Not saved: the book at {path} is gone. "
    f"{STILL_HERE}: put the stick or the folder back and try again."
)
_NOT_OPENED = (
    "The book at {path} cannot be opened ({error}). "
    f"{STILL_HERE}: check that its folder can be read, then try again."
)
_REFUSED = (
    f"Not saved: the book does not take this ({{error}}). {STILL_HERE}: change it and try again."
)
_NO_COPY = (
    "No copy was made at {path} ({error}). Nothing else was changed: "
    "free some space there, or name another place, and try again."
)
_NO_COPY_HELD = (
    "No copy was made: another program holds the book at {path}. Nothing was changed: try again "
    "when that program is done."
)
_GIVEN_UP = "No copy was made: it took too long, or the program was left."
_NOT_SOUND = (
    "No copy was made: the book at {path} is damaged ({found}). It was left as it is, and so were "
    "its copies: `logbook restore` lists them."
)
_DAMAGED = (
    "The book at {path} is damaged ({error}). It was left as it is. "
    "`logbook restore` lists its copies, and puts one in its place; the damaged file is saved."
)


def connect(
    path: Path,
    *,
    reads: bool = False,
    untouched: bool = False,
    immutable: bool = False,
    foreign_keys: bool = True,
) -> sqlite3.Connection:
    """A connection to the file at `path`, with every pragma a book needs. It is never made.

    reads -- refuse to write; what lies in the -wal may be moved into the file when it is closed.
    untouched -- refuse to write, and leave both the file and its -wal as they are.
    immutable -- for a medium that cannot be written, with no -wal beside the file.
    foreign_keys -- off only while a book is brought up to date.

    Raises sqlite3.Error; see `in_words`.
    """
    mode = "ro&immutable=1" if immutable else "ro" if untouched else "rw"
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    connection = sqlite3.connect(
        uri,
        uri=True,
        timeout=BUSY_TIMEOUT_MS / 1000,
        isolation_level=None,  # the library's own BEGIN is never wanted
        check_same_thread=False,  # the pool hands a connection to one thread at a time
    )
    try:
        _set_pragmas(connection, reads=reads or untouched or immutable, foreign_keys=foreign_keys)
    except (sqlite3.Error, UnicodeDecodeError):
        connection.close()
        raise
    return connection


def _set_pragmas(connection: sqlite3.Connection, *, reads: bool, foreign_keys: bool) -> None:
    connection.execute(f"PRAGMA busy_timeout={BUSY_TIMEOUT_MS}")
    connection.execute(f"PRAGMA foreign_keys={'ON' if foreign_keys else 'OFF'}")
    # Without it INSERT OR REPLACE deletes a row past the triggers that refuse deleting.
    connection.execute("PRAGMA recursive_triggers=ON")
    if reads:
        connection.execute("PRAGMA query_only=ON")
        return
    connection.execute("PRAGMA journal_mode=WAL")
    connection.execute("PRAGMA synchronous=FULL")
    if sys.platform == "darwin":
        connection.execute("PRAGMA fullfsync=ON")


def is_writable(path: Path) -> bool:
    """True if both the file and its folder (for the -wal) can be written."""
    real = files.real_path(path)
    return os.access(real, os.W_OK) and os.access(real.parent, os.W_OK)


def always() -> bool:
    """For what is never given up."""
    return True


def back_up(source: Path, target: Path, *, go_on: Callable[[], bool] = always) -> None:
    """Copy the book at `source`, in use or not, to `target` as one sound file on disk.

    go_on -- asked every few milliseconds; once it says no, there is no copy.

    Raises BookRefused if the copy is not sound, NotWritten if it cannot be written; `target` is
    then as it was.
    """
    with copied_beside(source, target, go_on=go_on) as part:
        os.replace(part, target)
        files.sync_folder(target.parent)


@contextmanager
def copied_beside(
    source: Path, target: Path, *, go_on: Callable[[], bool] = always
) -> Iterator[Path]:
    """A sound copy of the book at `source`, to be moved to `target`; see `back_up`."""
    try:
        with files.temporary_beside(target) as part:
            with closing(connect(source, reads=True)) as original:
                found = copy_into(original, part, go_on)
            if found:
                raise BookRefused(_NOT_SOUND.format(path=source, found=found))
            yield part
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise _copy_words(error, source, target) from error
    except OSError as error:
        raise NotWritten(_NO_COPY.format(path=target, error=error.strerror or error)) from error


def copy_into(original: sqlite3.Connection, part: Path, go_on: Callable[[], bool] = always) -> str:
    """Copy what an open book holds into the empty file `part`; what is wrong with it, or "".

    Raises NotWritten if it was given up; sqlite3.Error, also for a book held elsewhere; OSError.
    """

    def copied(status: int, *_: int) -> None:
        if status in _HELD or not go_on():
            raise NotWritten(_GIVEN_UP)

    # One transaction, or a book that is written meanwhile would be copied from the start again;
    # and the copying itself asks for ever, where another program holds the book.
    original.execute("BEGIN")
    original.execute("SELECT count(*) FROM sqlite_master").fetchone()
    with closing(sqlite3.connect(part, isolation_level=None)) as copy:
        original.backup(copy, pages=_PAGES_AT_ONCE, progress=copied)
        original.execute("ROLLBACK")
        copy.execute("PRAGMA journal_mode=DELETE")
        copy.set_progress_handler(lambda: not go_on(), _STEPS_AT_ONCE)
        found = "; ".join(damage(copy))
    files.sync_file(part)
    return found


def _copy_words(
    error: sqlite3.Error | UnicodeDecodeError, source: Path, target: Path
) -> NotWritten | BookRefused:
    """What to show about a copy that failed; nothing was typed, and the book was only read."""
    told = in_words(error, source)
    if isinstance(told, BookRefused):
        return told
    if is_given_up(error):
        return NotWritten(_GIVEN_UP)
    name = getattr(error, "sqlite_errorname", None) or type(error).__name__
    if is_busy(error):
        return NotWritten(_NO_COPY_HELD.format(path=source))
    why = "the disk is full" if name.startswith("SQLITE_FULL") else f"{error}, {name}"
    return NotWritten(_NO_COPY.format(path=target, error=why))


def is_busy(error: Exception) -> bool:
    """True if another program holds the file."""
    name = getattr(error, "sqlite_errorname", None) or ""
    return name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))


def is_damage(error: Exception) -> bool:
    """True if the file cannot be what was once written; SQLite may quote its bytes as they are."""
    name = getattr(error, "sqlite_errorname", None) or ""
    damaged = name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) or name == "SQLITE_ERROR"
    # The library's own error, without a name, for text in a row that is none.
    is_no_text = "Could not decode to UTF-8" in str(error)
    return damaged or is_no_text or isinstance(error, UnicodeDecodeError)


def is_given_up(error: Exception) -> bool:
    """True if the work was given up because the caller wanted so."""
    return getattr(error, "sqlite_errorname", None) == "SQLITE_INTERRUPT"


def is_lack_of_room(error: sqlite3.Error) -> bool:
    """True if what even reading needs beside the file could not be written."""
    name = getattr(error, "sqlite_errorname", None) or ""
    return name.startswith(("SQLITE_FULL", "SQLITE_IOERR_SHM", "SQLITE_IOERR_WRITE"))


def gone(path: Path) -> NotWritten:
    return NotWritten(_GONE.format(path=path))


def read_only(path: Path) -> NotWritten:
    return NotWritten(_READ_ONLY.format(path=path))


def in_words(error: sqlite3.Error | UnicodeDecodeError, path: Path) -> NotWritten | BookRefused:
    """What to show the user about an error SQLite gave for the book at `path`."""
    name = getattr(error, "sqlite_errorname", None) or type(error).__name__
    if name.startswith("SQLITE_FULL"):
        return NotWritten(_FULL)
    if name.startswith("SQLITE_READONLY"):
        return read_only(path)
    if is_busy(error):
        return NotWritten(_BUSY.format(path=path))
    if name.startswith("SQLITE_CONSTRAINT"):
        return NotWritten(_REFUSED.format(error=error))
    if name.startswith("SQLITE_CANTOPEN"):
        missing = not path.exists()
        return gone(path) if missing else NotWritten(_NOT_OPENED.format(path=path, error=error))
    if is_damage(error):
        return BookRefused(_DAMAGED.format(path=path, error=error))
    return NotWritten(_FAILED.format(path=path, name=name))
