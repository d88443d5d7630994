"""What the commands share: the book they are asked about, and how a page is written."""

import argparse
import gc
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from logbook.errors import BadInput
from logbook.report.render.keys import PageKey
from logbook.store.demo.demo import fresh_demo
from logbook.store.file.book_state import chosen_book_path
from logbook.store.opening import open_book

if TYPE_CHECKING:
    from logbook.store.book import Book

Command = Callable[[argparse.Namespace], int]
Subparsers: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def not_empty(typed: str) -> str:
    """The name of a file as typed. Raises ArgumentTypeError for none, as a script may hand over."""
    if not typed.strip():
        raise argparse.ArgumentTypeError("its name is empty: write one, or leave the word out")
    return typed


def command(
    commands: Subparsers,
    name: str,
    run: Command,
    words: str,
    *,
    demo: bool = True,
) -> argparse.ArgumentParser:
    """Add a command that asks a book; with `demo`, the demo season can be asked instead."""
    added = commands.add_parser(name, help=words, description=words.capitalize() + ".")
    # Left out here, an option given before the command's name still counts.
    book_options(added, demo=demo, default=argparse.SUPPRESS)
    added.set_defaults(run=run)
    return added


def written(command: argparse.ArgumentParser) -> None:
    """How a page may be written."""
    forms = ("text", "markdown", "json", "html")
    command.add_argument("--as", dest="form", choices=forms, help="how to write it; else by FILE")
    command.add_argument("--to", metavar="FILE", help="write it to a file (.txt .md .json .html)")
    command.add_argument(
        "--replace", action="store_true", help="write over a FILE that is no report"
    )


def book_options(
    command: argparse.ArgumentParser, *, demo: bool, default: str | None = None
) -> None:
    """How the book is named."""
    command.add_argument(
        "--book",
        metavar="FILE",
        type=not_empty,
        default=default,
        help="the book; else LOGBOOK_BOOK, else the usual",
    )
    if demo:
        command.add_argument(
            "--demo", action="store_true", help="the demo season instead of a book"
        )


def book_path(options: argparse.Namespace) -> Path:
    """The book meant; for the demo season a fresh copy that nothing else uses."""
    if not getattr(options, "demo", False):
        return chosen_book_path(options.book)
    refuse_book_beside_demo(options)
    return fresh_demo(demo_folder())


def refuse_book_beside_demo(options: argparse.Namespace) -> None:
    """Raise BadInput where a book is named and the demo season asked for."""
    if options.book:
        raise BadInput("a book and the demo season exclude each other: give one of them")


def demo_folder() -> Path:
    """A new folder for a copy of the demo season."""
    return Path(tempfile.mkdtemp(prefix="observing-logbook-"))


def report(options: argparse.Namespace, kind: str, name: str) -> int:
    """Write one page of looking back."""
    from logbook.report.write_page import report as write

    with reading(options) as book:
        key = PageKey(kind, name)
        write(book, key, options.form, options.to, replace=options.replace)
    return 0


@contextmanager
def _uncollected() -> Iterator[None]:
    """No garbage is looked for, now or at the end: in half a second of work that is a quarter."""
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()


@contextmanager
def reading(options: argparse.Namespace) -> Iterator["Book"]:
    """The book, for a command that only reads it; a copy of the demo season goes afterwards."""
    path = book_path(options)
    try:
        with _uncollected(), open_book(path, read_only=True) as book:
            yield book
    finally:
        if getattr(options, "demo", False):
            shutil.rmtree(path.parent, ignore_errors=True)
