"""Looking back."""

import argparse
from collections.abc import Sequence

from logbook.commands.shared import Subparsers, command, reading, report, written
from logbook.dates import TAKEN
from logbook.errors import BadInput

_DATES = f"A date is {TAKEN} (a night ago)."


def add_to(commands: Subparsers) -> None:
    """Add the commands of this room."""
    command(commands, "nights", _nights, "list the nights of the book")

    one = command(commands, "night", _night, "read one night back")
    one.add_argument("date", nargs="*", metavar="DATE", help="of the evening; else the last night")
    one.epilog = _DATES
    written(one)

    beside = command(commands, "compare", _compare, "what was different between two nights")
    beside.add_argument(
        "date",
        nargs="*",
        metavar="DATE",
        help="the night to go by and the night asked about; one alone is asked about, by the last "
        "good one",
    )
    beside.epilog = _DATES
    written(beside)

    for kind, words in (
        ("object", "one object over all nights"),
        ("part", "one part: its values, upkeep, trains and hours"),
        ("year", "a year: hours, darkness used, objects, best nights"),
    ):
        page = command(commands, kind, _page, words)
        several = 1 if kind == "year" else "+"
        page.add_argument("name", nargs=several, metavar="YYYY" if kind == "year" else "NAME")
        page.set_defaults(kind=kind)
        written(page)

    trends = command(commands, "trends", _page, "how seeing, width, focus and hours went")
    trends.add_argument(
        "name",
        nargs="*",
        metavar="YYYY",
        help="a year, the first and the last, or all; else the last three",
    )
    trends.set_defaults(kind="trends")
    written(trends)

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


def _nights(options: argparse.Namespace) -> int:
    from logbook.report.terminal import print_nights

    with reading(options) as book:
        print_nights(book)
    return 0


def _night(options: argparse.Namespace) -> int:
    return report(options, "night", _typed(options.date))


def _compare(options: argparse.Namespace) -> int:
    return report(options, "compare", _typed(options.date))


def _typed(words: Sequence[str]) -> str:
    """What was typed of dates, as one; "" only where there is none. Raises BadInput."""
    if not all(word.strip() for word in words):
        raise BadInput(f"no date was typed: write {TAKEN}")
    return " ".join(words)


def _page(options: argparse.Namespace) -> int:
    return report(options, options.kind, " ".join(options.name))


def _search(options: argparse.Namespace) -> int:
    from logbook.commands.search_cmd import print_search, span_typed
    from logbook.records.search import Wanted

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
