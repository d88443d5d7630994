"""Looking back."""

import argparse
from collections.abc import Sequence

from logbook.commands.shared import Subparsers, command, reading, report, written
from logbook.dates import TAKEN
from logbook.errors import BadInput
from logbook.records.search import Wanted
from logbook.report.registry import PAGES, PageKind

_DATES = f"A date is {TAKEN} (a night ago)."


def add_to(commands: Subparsers) -> None:
    """Add the commands of this group."""
    command(commands, "nights", _nights, "list the nights of the book")

    for kind, page in PAGES.items():
        if page.names:
            _add_page(commands, kind, page)

    search = command(commands, "search", _search, "search every word ever logged")
    search.add_argument("words", nargs="*", metavar="WORD", help="words, or beginnings of words")
    search.add_argument("--kind", metavar="K", action="append", help="note, turn, upkeep ...")
    search.add_argument("--object", metavar="O", default="", help="entries of one object")
    search.add_argument("--part", metavar="P", default="", help="on a part, or with it in use")
    search.add_argument("--train", metavar="T", default="", help="with one train")
    search.add_argument(
        "--from", dest="first", metavar="DATE", help="the first evening, month or year"
    )
    search.add_argument("--to", dest="last", metavar="DATE", help="the last evening, month or year")
    search.add_argument("--limit", metavar="N", type=int, default=50, help="how many (50)")
    search.add_argument("--best", action="store_true", help="best first, instead of newest")
    search.add_argument("--json", action="store_true", help="as JSON")
    search.epilog = f"{_DATES} A month is 2024-05 or May 2024, a year 2024."


def _add_page(commands: Subparsers, kind: str, page: PageKind) -> None:
    added = command(commands, kind, _page, page.help)
    added.add_argument("name", nargs=page.names, metavar=page.metavar, help=page.names_help)
    takes_dates = page.metavar == "DATE"
    added.set_defaults(kind=kind, takes_dates=takes_dates)
    if takes_dates:
        added.epilog = _DATES
    written(added)


def _nights(options: argparse.Namespace) -> int:
    from logbook.report.terminal import print_nights

    with reading(options) as book:
        print_nights(book)
    return 0


def _typed(words: Sequence[str]) -> str:
    """What was typed of dates, as one; "" only where there is none. Raises BadInput."""
    if not all(word.strip() for word in words):
        raise BadInput(f"no date was typed: write {TAKEN}")
    return " ".join(words)


def _page(options: argparse.Namespace) -> int:
    names = _typed(options.name) if options.takes_dates else " ".join(options.name)
    return report(options, options.kind, names)


def _search(options: argparse.Namespace) -> int:
    from logbook.commands.search_cmd import print_search, span_typed

    with reading(options) as book:
        first, last = span_typed(book, options.first, options.last)
        wanted = Wanted(
            " ".join(options.words),
            tuple(options.kind or ()),
            options.object,
            options.part,
            options.train,
            first,
            last,
        )
        print_search(book, wanted, options.limit, as_json=options.json, best_first=options.best)
    return 0
