"""Copies of a book: made whole and checked, retained by a simple rule, and put back.

Retained of the copies made at the end of a night: the newest ten, and the newest of every month.
"""

import os
import re
import sqlite3
import time
from collections.abc import Callable, Iterable, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime
from itertools import islice
from pathlib import Path

from logbook.errors import BadInput, BookRefused, NotWritten
from logbook.store.file import book_state, files, sqlite, swap
from logbook.store.file.integrity import damage
from logbook.store.file.readable_copy import ReadablePlace
from logbook.store.file.schema import schema_faults

NEWEST_KEPT = 10
NIGHT_COPY_WITHIN_S = 120.0  # a book of twenty years takes half a second on a laptop's disk
RULE = f"Of the copies made as nights end, the newest {NEWEST_KEPT} and the last of each month stay"
_MOST_FAULTS_SAID = 3
_NIGHT_COPY = re.compile(r" night of (\d{4}-\d{2}-\d{2})\.db$")


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
    to = book_state.copies_folder(path) if target is None else target
    names: Iterable[Path] = [to]
    if target is None or target.is_dir():
        to = to / f"{path.stem} {now_utc.strftime(book_state.STAMP)}.db"
        names = files.numbered(to)
    elif not files.is_free(to):
        raise _taken(to)
    _make_folder(to.parent)
    with sqlite.copied_beside(path, to) as part:
        try:
            return files.move_into_free_place(part, names)
        except files.NameTaken as error:
            raise _taken(to) from error


def _taken(to: Path) -> BadInput:
    lies = next((each for each in (to, *files.logs_of(to)) if os.path.lexists(each)), to)
    return BadInput(f"{lies} is there already: name a folder, or a file that isn't there yet.")


def back_up_night(path: Path, night: date, *, go_on: Callable[[], bool] = sqlite.always) -> Path:
    """Copy the book after a night, in place of an earlier copy of the same night, and tidy up.

    It is given up after two minutes, and once `go_on` says no.
    """
    until = time.monotonic() + NIGHT_COPY_WITHIN_S
    to = book_state.copies_folder(path) / f"{path.stem} night of {night.isoformat()}.db"
    _make_folder(to.parent)

    def in_time() -> bool:
        return go_on() and time.monotonic() < until

    with sqlite.copied_beside(path, to, go_on=in_time) as part:
        if files.logs_of(to):  # somebody opened that copy as a book, and may have written in it
            swap.put_in_place(part, to, book_state.aside_name(to, to.parent, book_state.now_utc()))
        else:
            os.replace(part, to)
            files.sync_folder(to.parent)
    for old in out_of_date(sorted(book_state.copies_folder(path).glob("*.db"))):
        if files.logs_of(old):
            continue
        with suppress(OSError):
            old.unlink()
    return to


def night_copy_words(copy: Path) -> str:
    """Where the copy made as a night ended lies, and which of them are retained."""
    return f"A checked copy lies beside the book, in {copy.parent.name}. {RULE}."


def out_of_date(copies: Sequence[Path]) -> tuple[Path, ...]:
    """Of the copies of nights, those that are neither among the newest nor the last of a month.

    Copies that the user asked for, or that were made before an upgrade, are never among them.
    """
    dated = sorted((found[1], path) for path in copies if (found := _NIGHT_COPY.search(path.name)))
    last_of_month = {day[:7]: path for day, path in dated}
    kept = {path for _, path in dated[-NEWEST_KEPT:]} | set(last_of_month.values())
    return tuple(path for _, path in dated if path not in kept)


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NotWritten(
            f"No copy was made: there can be no folder {folder} ({error.strerror or error}). "
            "Name another place."
        ) from error


def copies_of(path: Path) -> tuple[Copy, ...]:
    """The copies beside the book at `path` and the books that a copy replaced, newest first."""
    folder = book_state.copies_folder(path)
    found = (_copy_at(each) for ending in ("*.db", "*.old") for each in folder.glob(ending))
    return tuple(sorted(found, key=lambda each: each.made_utc, reverse=True))


def _copy_at(path: Path) -> Copy:
    made = datetime.fromtimestamp(path.stat().st_mtime, UTC)
    state = book_state.look(path)
    if not state.opens:
        return Copy(path, made, words=state.words)
    try:
        with ReadablePlace.left_alone(path) as place, closing(place.connect()) as connection:
            row = connection.execute("SELECT count(*), max(local_date) FROM night").fetchone()
    except (sqlite3.Error, OSError, UnicodeDecodeError) as error:
        return Copy(path, made, words=str(error))
    return Copy(path, made, int(row[0]), str(row[1] or ""))


def restore(path: Path, copy: Path, now_utc: datetime) -> Path | None:
    """Put a copy in the place of the book at `path`; where what lay there is now.

    The copy, and what lies in its log, is checked first and stays as it is. The book that lay
    there, sound or not, is saved whole in the folder of copies; if only its log lay there, the path
    returned is that of the log without its ending. See `swapping.aside_words`.

    Raises BadInput if the copy is no book, BookRefused if it is damaged or the book is open
    elsewhere, NotWritten.
    """
    real = files.real_path(path)
    _refuse_copy(real, copy)
    try:
        real.parent.mkdir(parents=True, exist_ok=True)
        with files.temporary_beside(real) as part:
            _read_copy(copy, part, path)
            if real.exists():
                part.chmod(real.stat().st_mode & 0o777)
            name = book_state.aside_name(path, book_state.copies_folder(path), now_utc)
            aside = swap.put_in_place(part, real, name)
    except OSError as error:
        raise NotWritten(f"Nothing was put back at {path}: {error.strerror or error}.") from error
    _look_again(real, copy, aside)
    return aside


def _refuse_copy(real: Path, copy: Path) -> None:
    state = book_state.look(copy)
    if state.condition is book_state.Condition.MISSING:
        raise BadInput(
            f"Nothing was put back: there is no copy at {copy}. `logbook restore` alone lists them."
        )
    if state.condition is book_state.Condition.DAMAGED:
        raise BookRefused(f"Nothing was put back: {state.words}")
    if not state.opens:
        raise BadInput(f"Nothing was put back: {state.words}")
    if not os.path.lexists(real):
        return
    if not real.is_file():  # nor is a link that leads back to itself
        raise BadInput(f"Nothing was put back: {real} is no ordinary file. Name another --book.")
    if copy.samefile(real):
        raise BadInput(f"{copy} is the book itself: name one of its copies.")


def _read_copy(copy: Path, part: Path, path: Path) -> None:
    """Read the whole copy, so that a damaged one never gets in the book's place."""
    try:
        with ReadablePlace.left_alone(copy) as place, closing(place.connect()) as original:
            found = sqlite.copy_into(original, part) or _schema_faults(part)
    except UnicodeDecodeError as error:
        found = str(error)
    except sqlite3.Error as error:
        if not sqlite.is_damage(error):
            raise _not_put_back(path, error) from error
        found = str(error)
    if found:
        raise BookRefused(
            f"Nothing was put back: the copy at {copy} is damaged ({found}). The book is as it "
            "was; `logbook restore` alone lists its copies."
        )


def _schema_faults(part: Path) -> str:
    with closing(sqlite3.connect(part)) as copy:
        return "; ".join(islice(schema_faults(copy), _MOST_FAULTS_SAID))


def _not_put_back(path: Path, error: sqlite3.Error) -> NotWritten:
    why = "the disk may be full" if sqlite.is_lack_of_room(error) else "the copy may be in use"
    return NotWritten(
        f"Nothing was put back at {path} ({error}): {why}. The book is as it was: free some space "
        "there, or close the copy, and try again."
    )


def _look_again(real: Path, copy: Path, aside: Path | None) -> None:
    """A copy counts as done by what the disk gives back, not by what it was given."""
    try:
        with closing(sqlite.connect(real, untouched=True)) as connection:
            found = "; ".join(damage(connection))
    except (sqlite3.Error, UnicodeDecodeError) as error:
        # A program that has opened it already found it sound enough; the copy was checked whole.
        found = "" if sqlite.is_busy(error) else str(error)
    if found:
        words = f" {swap.aside_words(aside)}" if aside else ""
        raise BookRefused(
            f"The book put at {real} cannot be read back whole ({found}): check the disk. "
            f"The copy is still at {copy}.{words}"
        )
