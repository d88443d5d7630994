"""Looking back."""

import argparse

from logbook.commands.shared import Subparsers, command, reading, report, written


def add_to(commands: Subparsers) -> None:
    """Add the commands of this room."""
    command(commands, "nights", _nights, "list the nights of the book")

    one = command(commands, "night", _night, "read one night back")
    one.add_argument(
        "date", nargs="?", metavar="YYYY-MM-DD", help="date of the evening; else the last"
    )
    written(one)

    beside = command(commands, "compare", _compare, "what was different between two nights")
    beside.add_argument(
        "date",
        nargs="?",
        metavar="YYYY-MM-DD",
        help="the night to go by; alone, the one asked about",
    )
    beside.add_argument(
        "other",
        nargs="?",
        metavar="YYYY-MM-DD",
        help="the night asked about; else the last good one",
    )
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
    search.add_argument("--from", dest="first", metavar="DATE", help="the first evening")
    search.add_argument("--to", dest="last", metavar="DATE", help="the last evening")
    search.add_argument("--limit", metavar="N", type=int, default=50, help="how many (50)")
    search.add_argument("--best", action="store_true", help="best first, instead of newest")
    search.add_argument("--json", action="store_true", help="as JSON")


def _nights(options: argparse.Namespace) -> int:
    from logbook.report.printing import print_nights

    with reading(options) as book:
        print_nights(book)
    return 0


def _night(options: argparse.Namespace) -> int:
    if options.form or options.to:
        return report(options, "night", options.date or "")
    from logbook.report.printing import print_night

    with reading(options) as book:
        print_night(book, options.date)
    return 0


def _compare(options: argparse.Namespace) -> int:
    return report(options, "compare", " ".join(filter(None, (options.date, options.other))))


def _page(options: argparse.Namespace) -> int:
    return report(options, options.kind, " ".join(options.name))


def _search(options: argparse.Namespace) -> int:
    from logbook.report.search_page import date_typed, print_search
    from logbook.store.search_records import Wanted

    wanted = Wanted(
        " ".join(options.words),
        tuple(options.kind or ()),
        options.object,
        options.part,
        options.train,
        date_typed(options.first),
        date_typed(options.last),
    )
    with reading(options) as book:
        print_search(book, wanted, options.limit, as_json=options.json, best_first=options.best)
    return 0
