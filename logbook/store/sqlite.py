"""What is SQLite's own: connecting, the pragmas, checked copies, and what its errors mean.

Only the standard library is imported, so that a book can be looked at before the first frame.
"""

import os
import sqlite3
import sys
from contextlib import closing, suppress
from pathlib import Path

from logbook.errors import BookRefused, NotWritten

BUSY_TIMEOUT_MS = 5000
AT_ONCE_MS = 50  # for what is tried again anyway; long enough for one entry of another program
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
_DAMAGED = (
    "The book at {path} is damaged ({error}). It was left as it is. "
    "Put a sound copy in its place; keep the damaged file."
)


def connect(
    path: Path, *, reads: bool = False, immutable: bool = False, foreign_keys: bool = True
) -> sqlite3.Connection:
    """A connection to the file at `path`, with every pragma a book needs. It is never made.

    reads -- refuse to write, and leave the file's journal as it is.
    immutable -- for a medium that cannot be written, with no -wal beside the file.
    foreign_keys -- off only while a book is brought up to date.

    Raises sqlite3.Error; see `in_words`.
    """
    mode = "ro&immutable=1" if immutable else "rw"
    uri = f"{path.absolute().as_uri()}?mode={mode}"
    connection = sqlite3.connect(
        uri,
        uri=True,
        timeout=BUSY_TIMEOUT_MS / 1000,
        isolation_level=None,  # the library's own BEGIN is never wanted
        check_same_thread=False,  # the pool hands a connection to one thread at a time
    )
    try:
        _set_pragmas(connection, reads=reads or immutable, foreign_keys=foreign_keys)
    except sqlite3.Error:
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


def log_beside(path: Path) -> Path:
    """Where SQLite keeps what is committed but not yet moved into the file at `path`."""
    return path.with_name(f"{path.name}-wal")


def is_writable(path: Path) -> bool:
    """True if both the file and its folder (for the -wal) can be written."""
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def back_up(source: Path, target: Path) -> None:
    """Copy the book at `source`, in use or not, to `target` as one sound file on disk.

    Raises BookRefused if the copy is not sound, NotWritten if it cannot be written; `target` is
    then as it was.
    """
    part = target.with_name(f"{target.name}.{os.getpid()}.part")
    try:
        with (
            closing(connect(source, reads=True)) as original,
            closing(sqlite3.connect(part)) as copy,
        ):
            original.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
            found = quick_check(copy)
        if found:
            raise BookRefused(f"A copy of {source} was not sound ({found}). No copy was kept.")
        sync_file(part)
        os.replace(part, target)
        sync_folder(target.parent)
    except sqlite3.Error as error:
        raise _copy_words(error, source, target) from error
    except OSError as error:
        raise NotWritten(_NO_COPY.format(path=target, error=error.strerror or error)) from error
    finally:
        with suppress(OSError):
            part.unlink()


def _copy_words(error: sqlite3.Error, source: Path, target: Path) -> NotWritten | BookRefused:
    """What to tell of a copy that failed; nothing was typed, and the book was only read."""
    told = in_words(error, source)
    if isinstance(told, BookRefused):
        return told
    name = getattr(error, "sqlite_errorname", None) or type(error).__name__
    if is_busy(error):
        return NotWritten(_NO_COPY.format(path=target, error="another program is writing"))
    why = "the disk is full" if name.startswith("SQLITE_FULL") else f"{error}, {name}"
    return NotWritten(_NO_COPY.format(path=target, error=why))


def quick_check(connection: sqlite3.Connection) -> str:
    """What SQLite finds wrong with the file in about 0.1 s, in its words; "" if nothing."""
    lines = [str(row[0]) for row in connection.execute("PRAGMA quick_check(3)")]
    return "" if lines == ["ok"] else "; ".join(lines)


def sync_file(path: Path) -> None:
    """Have the disk hold the file's content."""
    with path.open("rb+") as opened:
        os.fsync(opened.fileno())


def sync_folder(folder: Path) -> None:
    """Have the disk hold the folder's list of names, where the system can do that."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def is_busy(error: sqlite3.Error) -> bool:
    """True if another program holds the file."""
    name = getattr(error, "sqlite_errorname", None) or ""
    return name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))


def is_lack_of_room(error: sqlite3.Error) -> bool:
    """True if what even reading needs beside the file could not be written."""
    name = getattr(error, "sqlite_errorname", None) or ""
    return name.startswith(("SQLITE_FULL", "SQLITE_IOERR_SHM", "SQLITE_IOERR_WRITE"))


def gone(path: Path) -> NotWritten:
    return NotWritten(_GONE.format(path=path))


def read_only(path: Path) -> NotWritten:
    return NotWritten(_READ_ONLY.format(path=path))


def in_words(error: sqlite3.Error, path: Path) -> NotWritten | BookRefused:
    """What to tell the owner about an error SQLite gave for the book at `path`."""
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
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")) or name == "SQLITE_ERROR":
        return BookRefused(_DAMAGED.format(path=path, error=error))
    return NotWritten(_FAILED.format(path=path, name=name))
