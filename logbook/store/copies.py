"""Copies of a book: made whole and checked, kept by a simple rule, and put back.

Kept of the copies made at the end of a night: the newest ten, and the newest of every month.
"""

import os
import re
import sqlite3
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from logbook.errors import BadInput, BookRefused, NotWritten
from logbook.store import opening, sqlite

NEWEST_KEPT = 10
RULE = f"Of the copies made as nights end, the newest {NEWEST_KEPT} and the last of each month stay"
_STAMP = "%Y-%m-%dT%H%M%SZ"
_NIGHT_COPY = re.compile(r" night of (\d{4}-\d{2}-\d{2})\.db$")
_HELD = (
    "Nothing was put back: another program has the book at {path} open. "
    "Close it there, then try again."
)


@dataclass(frozen=True, slots=True)
class Copy:
    """A copy beside a book and what it holds; `words` says why it is of no use, if it is none."""

    path: Path
    made_utc: datetime
    nights: int = 0
    last_night: str = ""
    words: str = ""


def back_up(path: Path, target: Path | None, now_utc: datetime) -> Path:
    """Copy the book at `path`, in use or not, as one checked file; where it lies.

    target -- a file that isn't there yet or a folder; None for the folder of copies beside the
    book. Raises BadInput if the target is taken, NotWritten, BookRefused if the copy isn't sound.
    """
    to = opening.copies_folder(path) if target is None else target
    if target is None or target.is_dir():
        to = to / f"{path.stem} {now_utc.strftime(_STAMP)}.db"
    if to.exists():
        raise BadInput(f"{to} is there already: name a folder, or a file that isn't there yet.")
    _copy_whole(path, to)
    return to


def back_up_night(path: Path, night: date) -> Path:
    """Copy the book after a night, in place of an earlier copy of the same night, and tidy up."""
    to = opening.copies_folder(path) / f"{path.stem} night of {night.isoformat()}.db"
    _copy_whole(path, to)
    for old in out_of_date(sorted(opening.copies_folder(path).glob("*.db"))):
        with suppress(OSError):
            old.unlink()
    return to


def night_copy_words(copy: Path) -> str:
    """Where the copy made as a night ended lies, and which of them are kept."""
    return f"A checked copy lies beside the book, in {copy.parent.name}. {RULE}."


def out_of_date(copies: Sequence[Path]) -> tuple[Path, ...]:
    """Of the copies of nights, those that are neither among the newest nor the last of a month.

    Copies that the owner asked for, or that were made before an upgrade, are never among them.
    """
    dated = sorted((found[1], path) for path in copies if (found := _NIGHT_COPY.search(path.name)))
    last_of_month = {day[:7]: path for day, path in dated}
    kept = {path for _, path in dated[-NEWEST_KEPT:]} | set(last_of_month.values())
    return tuple(path for _, path in dated if path not in kept)


def _copy_whole(path: Path, to: Path) -> None:
    try:
        to.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NotWritten(
            f"No copy was made: there can be no folder {to.parent} ({error.strerror or error}). "
            "Name another place."
        ) from error
    sqlite.back_up(path, to)
    with closing(sqlite.connect(to, reads=True)) as connection:
        found = [str(row[0]) for row in connection.execute("PRAGMA integrity_check(3)")]
    if found != ["ok"]:
        raise BookRefused(
            f"The copy at {to} is not sound ({'; '.join(found)}): so the book isn't. Keep both."
        )


def copies_of(path: Path) -> tuple[Copy, ...]:
    """The copies beside the book at `path`, newest first."""
    found = (_copy_at(each) for each in opening.copies_folder(path).glob("*.db"))
    return tuple(sorted(found, key=lambda each: each.made_utc, reverse=True))


def _copy_at(path: Path) -> Copy:
    made = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    state = opening.look(path)
    if not state.opens:
        return Copy(path, made, words=state.words)
    try:
        with closing(sqlite.connect(path, reads=True)) as connection:
            row = connection.execute("SELECT count(*), max(local_date) FROM night").fetchone()
    except sqlite3.Error as error:
        return Copy(path, made, words=str(error))
    return Copy(path, made, int(row[0]), str(row[1] or ""))


def restore(path: Path, copy: Path, now_utc: datetime) -> Path | None:
    """Put a copy in the place of the book at `path`; where the book that lay there is now.

    The copy is checked first and stays; the book that lay there, sound or not, is kept whole in the
    folder of copies. Raises BadInput if the copy is no sound book, BookRefused if the book is open
    elsewhere, NotWritten.
    """
    state = opening.look(copy)
    if state.condition is opening.Condition.MISSING:
        raise BadInput(
            f"Nothing was put back: there is no copy at {copy}. `logbook restore` alone lists them."
        )
    if not state.opens:
        raise BadInput(f"Nothing was put back: {state.words}")
    if path.exists() and copy.samefile(path):
        raise BadInput(f"{copy} is the book itself: name one of its copies.")
    part = path.with_name(f"{path.name}.{os.getpid()}.restored")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _copy_beside(copy, part, path)
        aside = _set_aside(path, now_utc)
        os.replace(part, path)
        sqlite.sync_folder(path.parent)
    except OSError as error:
        raise NotWritten(f"Nothing was put back at {path}: {error.strerror or error}.") from error
    finally:
        with suppress(OSError):
            part.unlink()
    return aside


def _copy_beside(copy: Path, part: Path, path: Path) -> None:
    """Read the whole copy, so that a spoilt one never gets in the book's place."""
    try:
        sqlite.back_up(copy, part)
    except NotWritten as error:
        raise NotWritten(
            f"Nothing was put back at {path} ({error.__cause__}): the disk may be full. The book "
            "is as it was: free some space there and try again."
        ) from error


def _set_aside(path: Path, now_utc: datetime) -> Path | None:
    """Move the file at `path`, with what SQLite keeps beside it, into the folder of copies."""
    if not path.exists():
        return None
    _refuse_if_held(path)
    folder = opening.copies_folder(path)
    folder.mkdir(parents=True, exist_ok=True)
    # Not named .db: it may be a damaged one, and is no copy to go back to by itself.
    aside = folder / f"{path.stem} replaced {now_utc.strftime(_STAMP)}.old"
    for ending in ("", "-wal", "-shm"):
        beside = path.with_name(f"{path.name}{ending}")
        if beside.exists():
            os.replace(beside, aside.with_name(f"{aside.name}{ending}"))
    return aside


def _refuse_if_held(path: Path) -> None:
    """A book open elsewhere would go on being written where nobody looks for it."""
    try:
        with closing(sqlite3.connect(path, timeout=0.2, isolation_level=None)) as connection:
            connection.execute("PRAGMA locking_mode=EXCLUSIVE")
            connection.execute("BEGIN EXCLUSIVE")
            connection.execute("ROLLBACK")
    except sqlite3.Error as error:
        if sqlite.is_busy(error):
            raise BookRefused(_HELD.format(path=path)) from error
