"""Printing to a terminal or a pipe. Text from a book is never read as markup."""

import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from logbook.entryline.format import total_words
from logbook.records.entries import NightSummary
from logbook.sky.catalogue.name_search import finder

if TYPE_CHECKING:
    from logbook.store.book import Book

_EVERY_NIGHT = 100_000


def print_lines(lines: Iterable[Text]) -> None:
    """Print lines, styled in a terminal and plain in a pipe; nothing is cut or wrapped there."""
    if not sys.stdout.isatty():
        for line in lines:
            print(line.plain)
        return
    console = Console(markup=False, highlight=False, emoji=False)
    for line in lines:
        console.print(line)


def print_nights(book: "Book") -> None:
    """Every night in a line, newest first."""
    found = book.nights.summaries(_EVERY_NIGHT)
    if not found:
        print("No nights yet. Start `logbook` and press F10 to begin one.", file=sys.stderr)
    print_lines(_night_line(each) for each in found)


def _night_line(each: NightSummary) -> Text:
    line = Text(f"{each.night.local_date} ", style="bold")
    pieces = [each.night.site.name, ", ".join(each.objects) or "no object"]
    pieces.append(f"{each.frames} frames, {total_words(each.exposure_s)}")
    if each.turns:
        pieces.append(f"{each.turns} turns")
    pieces.append(f"{each.entries} entries")
    line.append("; ".join(pieces), style="not bold")
    return line


def print_found(typed: str) -> None:
    """The objects a name may mean, best first. Raises NotFound."""
    found = finder().find(typed)
    if not found:
        finder().named(typed)  # says what there is that is close
    print_lines(Text(f"{each.id:14} {each.kind:20} {each.shown}") for each in found)
