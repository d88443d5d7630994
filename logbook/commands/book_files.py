"""What the commands say that keep a book safe: export, import, backup, check, restore."""

import argparse
import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

from logbook.commands.shared import book_path, reading
from logbook.errors import BookRefused, NoBook, NotWritten
from logbook.store import opening
from logbook.store.book import Book
from logbook.store.file import backups, book_state, swap


def export(book: Book, folder: Path) -> None:
    """Write the whole book into a folder and say what is in it."""
    done = book.export(folder)
    print(folder)
    _say(
        f"{done.nights} nights, {done.entries} entries, {done.runs_of_frames} runs of frames; "
        f"{done.rows} rows in all"
    )


def begin(path: Path) -> None:
    """Make an empty book."""
    print(opening.make_book(path, say=_say))


def bring_in(folder: Path, path: Path) -> None:
    """Make a new book from an export."""
    from logbook.store.import_book import import_book

    rows = import_book(folder, path, say=_say)
    print(path)
    _say(f"{rows} rows; nothing was left out")


def back_up(path: Path, to: str | None) -> None:
    """Make a checked copy of the book."""
    _refuse_no_book(path)
    print(backups.back_up(path, _target(to) if to else None, book_state.now_utc()))
    _say("checked: the copy is sound")


def _target(typed: str) -> Path:
    """Where a copy goes; a name that ends in a slash is a folder, made if need be."""
    target = Path(typed).expanduser().absolute()
    if typed.endswith(("/", os.sep)):
        try:
            target.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise NotWritten(
                f"There can be no folder {target} ({error.strerror or error}): name another place."
            ) from error
    return target


def check(book: Book) -> int:
    """Say whether the book is sound; 4 if it is damaged."""
    found = book.findings()
    for each in found:
        print(f"{'DAMAGED' if each.is_damage else 'odd'}: {each.words}")
    if any(each.is_damage for each in found):
        _say(book_state.damaged_words(book.path, "see above"))
        return BookRefused.exit_code
    print(f"{book.path} is sound." + (" The lines above look odd, and are kept." if found else ""))
    return 0


def restore(path: Path, copy: str | None) -> None:
    """Put a copy in the book's place; without one, list the copies."""
    if copy is None:
        _list_copies(path)
        return
    aside = backups.restore(path, Path(copy).expanduser().absolute(), book_state.now_utc())
    print(path)
    if aside is not None:
        _say(swap.aside_words(aside))


def _list_copies(path: Path) -> None:
    found = backups.copies_of(path)
    if not found:
        _say(f"There are no copies of {path} yet: logbook backup makes one.")
    for each in found:
        held = each.words or f"{each.nights} nights, the last of {each.last_night or '(none)'}"
        print(f"{each.made_utc:%Y-%m-%d %H:%M} UTC  {held}\n  {each.path}")
    if found:
        _say(f"{backups.RULE}; those that you asked for stay until you delete them.")


def _refuse_no_book(path: Path) -> None:
    state = book_state.look(path)
    if state.condition is book_state.Condition.MISSING:
        raise NoBook(state.words)
    if not state.opens:
        raise BookRefused(state.words)


def _say(words: str) -> None:
    print(words, file=sys.stderr)


# --- the commands ---


def _begin(options: argparse.Namespace) -> int:
    begin(book_path(options))
    return 0


def _export(options: argparse.Namespace) -> int:
    with reading(options) as book:
        export(book, Path(options.folder).expanduser())
    return 0


def _import(options: argparse.Namespace) -> int:
    bring_in(Path(options.folder).expanduser(), book_path(options))
    return 0


def _backup(options: argparse.Namespace) -> int:
    back_up(book_path(options), options.to)
    return 0


def _check(options: argparse.Namespace) -> int:
    with reading(options) as book:
        return check(book)


def _restore(options: argparse.Namespace) -> int:
    restore(book_path(options), options.copy)
    return 0


JOBS: Mapping[str, Callable[[argparse.Namespace], int]] = {
    "begin": _begin,
    "export": _export,
    "import": _import,
    "backup": _backup,
    "check": _check,
    "restore": _restore,
}
