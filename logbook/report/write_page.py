"""Printing a page, or writing it to a file."""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from logbook.errors import BadInput, NotWritten
from logbook.report.registry import PageData, load_page, render_page
from logbook.report.render.html import html_page
from logbook.report.render.json_ import json_text
from logbook.report.render.keys import PageKey
from logbook.report.render.mark import MARK
from logbook.report.render.markdown import markdown
from logbook.report.render.text import PLAIN_WIDTH, text_lines
from logbook.report.terminal import print_lines
from logbook.store.file import files

if TYPE_CHECKING:
    from logbook.store.book import Book

FORMS = ("text", "markdown", "json", "html")
_BY_ENDING = {
    ".txt": "text",
    ".md": "markdown",
    ".json": "json",
    ".html": "html",
    ".htm": "html",
}
_WIDEST = 110  # cells of a line that is still read with ease
_DATABASE = b"SQLite format 3\0"  # how the file of a book begins
_MARK_WITHIN = 4096  # bytes from either end in which a report bears its mark


def report(
    book: "Book", key: PageKey, form: str | None, to: str | None, *, replace: bool = False
) -> None:
    """Print a page, or write it to a file and print the file's name.

    form -- one of FORMS; else what the file's name ends in says it, else text.
    Raises BadInput, NotFound, NotWritten.
    """
    target = None if to is None else Path(to).expanduser().absolute()
    chosen = form or form_of(target)
    if target is not None:
        _refuse(target, replace=replace)
    data = load_page(book, key)
    if target is None and chosen == "text":
        print_lines(text_lines(render_page(data), _terminal_width()))
    elif target is None:
        sys.stdout.write(rendered(data, chosen, book.path.parent))
    else:
        _write(target, rendered(data, chosen, book.path.parent))
        print(target)


def rendered(data: PageData, form: str, folder: Path | None = None) -> str:
    """A page as the text of a file, with the mark by which it is known.

    folder -- of the book, where pictures lie that are named without one.
    """
    if form == "json":
        return f"{json_text(data)}\n"
    paper = render_page(data)
    if form == "markdown":
        return f"{markdown(paper)}\n<!-- {MARK} -->\n"
    if form == "html":
        return html_page(paper, folder)
    lines = "\n".join(line.plain for line in text_lines(paper, PLAIN_WIDTH))
    return f"{lines}\n\n({MARK})\n"


def target_of(typed: str, *, replace: bool = False) -> Path:
    """The file that is meant by a name as typed, if it may be written. Raises BadInput."""
    target = Path(typed).expanduser().absolute()
    form_of(target)
    _refuse(target, replace=replace)
    return target


def write_page(data: PageData, target: Path, folder: Path) -> None:
    """Write a page to a file, in the form that its name ends in. Raises NotWritten.

    folder -- of the book, where pictures lie that are named without one.
    """
    _write(target, rendered(data, form_of(target), folder))


def form_of(target: Path | None) -> str:
    """Which of FORMS a file's name asks for. Raises BadInput."""
    if target is None:
        return "text"
    found = _BY_ENDING.get(target.suffix.lower())
    if found is None:
        endings = ", ".join(_BY_ENDING)
        raise BadInput(f"{target.name} does not say what to write: end it in {endings}")
    return found


def _terminal_width() -> int:
    if not sys.stdout.isatty():
        return PLAIN_WIDTH
    try:
        return max(40, min(os.get_terminal_size().columns, _WIDEST))
    except OSError:
        return PLAIN_WIDTH


def _refuse(target: Path, *, replace: bool) -> None:
    """Only a report of this program's is written over without `--replace`, a book never."""
    if target.is_dir():
        raise BadInput(f"{target} is a folder: name a file in it.")
    if not target.parent.is_dir():
        raise BadInput(f"There is no folder {target.parent}: make it first.")
    if not target.exists():
        return
    if not target.is_file():
        raise BadInput(f"{target} is no ordinary file: name one, or leave --to out and use a pipe.")
    held = _ends_of(target)
    if held.startswith(_DATABASE):
        raise BadInput(f"{target} is a book, or another database, and is never written over.")
    if replace or MARK.encode() in held:
        return
    raise BadInput(
        f"{target} is no report of this program and was left as it is: choose another name, or say "
        "--replace (in a form: yes) to write over it."
    )


def _ends_of(target: Path) -> bytes:
    """The first and the last bytes of a file; nothing of one that cannot be read."""
    try:
        with target.open("rb") as opened:
            first = opened.read(_MARK_WITHIN)
            opened.seek(max(0, opened.seek(0, os.SEEK_END) - _MARK_WITHIN))
            return first + opened.read()
    except OSError:
        return b""


def _write(target: Path, text: str) -> None:
    """Put a whole file in the target's place, or leave what was there."""
    try:
        with files.replacing(target) as out:
            out.write(text)
    except OSError as error:
        raise NotWritten(f"{target} could not be written: {error.strerror}.") from error
