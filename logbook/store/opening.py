"""Making a book, and opening one.

SQLAlchemy is imported when a book is opened, Alembic only when one is made or brought up to date.
"""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.errors import BookRefused, NoBook, NotWritten
from logbook.store.file import files, sqlite, swap
from logbook.store.file.book_state import (
    APPLICATION_ID,
    Condition,
    aside_name,
    copies_folder,
    look,
    missing_words,
    now_utc,
    unsaid,
)
from logbook.store.file.readable_copy import ReadablePlace

if TYPE_CHECKING:
    from logbook.store.book import Book


def make_book(
    path: Path,
    *,
    clock: Callable[[], datetime] = now_utc,
    say: Callable[[str], None] = unsaid,
    fill: "Callable[[Book], None] | None" = None,
) -> Path:
    """Make an empty book at `path`, and its folder.

    say -- gets words about what lay in the way and was moved aside.
    fill -- writes what it begins with; if that fails there is no book.

    Raises BookRefused if anything lies at `path`, NotWritten if it cannot be written there.
    """
    from logbook.store.file.migrate import fill_new_book

    with made_whole(path, say) as part:
        fill_new_book(part, APPLICATION_ID, clock())
        if fill is not None:
            with open_book(part, clock=clock) as book:
                fill(book)
    return path


@contextmanager
def made_whole(path: Path, say: Callable[[str], None] = unsaid) -> Iterator[Path]:
    """A new file that gets the name `path` once it is whole: a kill leaves no half-made book.

    Raises BookRefused if anything lies at `path` or the file isn't sound, NotWritten if it cannot
    be written there.
    """
    if os.path.lexists(path):
        raise BookRefused(_taken_words(path))
    name = aside_name(path, copies_folder(path), now_utc())
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with files.temporary_beside(path) as part:
            yield part
            files.sync_file(part)
            aside = swap.put_new(part, path, name)
    except files.NameTaken as error:
        raise BookRefused(_taken_words(path)) from error
    except OSError as error:
        raise NotWritten(f"No book was made at {path}: {error.strerror or error}.") from error
    if aside is not None:
        say(swap.aside_words(aside))


def _taken_words(path: Path) -> str:
    if path.is_symlink() and not path.exists():
        return missing_words(path)
    return f"There is a file at {path} already. It was left as it is."


def open_book(
    path: Path, *, read_only: bool = False, clock: Callable[[], datetime] = now_utc
) -> "Book":
    """Open the book at `path`, bringing an older one up to date first (a copy stays).

    A book on a medium that cannot be written opens for reading. Close what this returns.
    Raises NoBook if nothing is there, BookRefused for anything but a sound book of this or an
    older program (left untouched), NotWritten if an older one cannot be brought up to date.
    """
    state = look(path)
    if state.condition is Condition.MISSING:
        raise NoBook(state.words)
    if not state.opens:
        raise BookRefused(state.words)
    reads_only = read_only or not sqlite.is_writable(path)
    older = state.condition is Condition.OLDER
    try:
        place = ReadablePlace(path, always_copy=older and reads_only)
        return _open_at(place, path, older=older, read_only=reads_only, clock=clock)
    except (sqlite3.Error, UnicodeDecodeError) as error:
        raise sqlite.in_words(error, path) from error
    except OSError as error:
        raise BookRefused(f"{path} cannot be read ({error.strerror or error}).") from error


def _open_at(
    place: ReadablePlace,
    path: Path,
    *,
    older: bool,
    read_only: bool,
    clock: Callable[[], datetime],
) -> "Book":
    from logbook.store.book import Book

    try:
        if older:
            from logbook.store.file.migrate import bring_up_to_date

            bring_up_to_date(place.path, copies=None if read_only else copies_folder(path))
        connect = partial(place.connect, reads=read_only)
        return Book(path, connect=connect, read_only=read_only, clock=clock, close=place.close)
    except BaseException:
        place.close()
        raise
