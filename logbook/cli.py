"""The commands. Nothing heavy is imported at the top: each command brings its own.

What is asked for goes to standard output; what is said about it, and errors, to standard error.
"""

import argparse
import gc
import os
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from logbook import __version__
from logbook.errors import BadInput, LogbookError

if TYPE_CHECKING:
    from logbook.store.book import Book

EXIT_CODES = """\
exit codes: 0 done; 1 unforeseen; 2 cannot be understood or cannot be true; 3 no such object,
site, train or night; 4 the book is not there, not a book, newer or damaged; 5 it cannot be written
"""

Command = Callable[[argparse.Namespace], int]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; its exit code."""
    options = parser().parse_args(arguments)
    run: Command = options.run
    try:
        code = run(options)
        sys.stdout.flush()  # here, where a reader that went away is no error
        return code
    except LogbookError as error:
        print(f"logbook: {error}", file=sys.stderr)
        return error.exit_code
    except BrokenPipeError:
        # The reader went away, as `| head` does; keep the interpreter from saying so at its end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        return _unforeseen(error)


def _unforeseen(error: Exception) -> int:
    """Keep the details in a file and say one line."""
    from logbook.report.crash import crash_words, write_crash_log

    print(f"logbook: {crash_words(error, write_crash_log(error))}", file=sys.stderr)
    return 1


def parser() -> argparse.ArgumentParser:
    """Every command with its options."""
    top = argparse.ArgumentParser(
        prog="logbook",
        description="A logbook for observing nights. Without a command: the screen.",
        epilog=EXIT_CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="version", version=f"observing-logbook {__version__}")
    _book_options(top, demo=False)
    top.add_argument("--red", action="store_true", help="begin in the red night view")
    top.set_defaults(run=_screen)
    commands = top.add_subparsers(title="commands", metavar="COMMAND")

    demo = commands.add_parser("demo", help="a fresh copy of the demo season on the screen")
    demo.add_argument("--red", action="store_true", help="begin in the red night view")
    demo.set_defaults(run=_demo)

    _command(commands, "where", _where, "print where the book is")
    _command(commands, "begin", _begin, "make an empty book", demo=False)

    night = _command(commands, "tonight", _tonight, "the night, and what is worth doing in it")
    night.add_argument("--site", metavar="S", help="a site of the book; else the one used last")
    night.add_argument("--train", metavar="T", help="a train of the book; else the one used last")
    night.add_argument(
        "--date", metavar="YYYY-MM-DD", default="tonight", help="date of the evening"
    )
    night.add_argument("--min-altitude", metavar="DEG", type=float, help="wanted altitude (30)")
    night.add_argument(
        "--min-moon-separation", metavar="DEG", type=float, help="distance to a risen Moon (30)"
    )
    night.add_argument(
        "--limits",
        metavar="TEXT",
        default="",
        help="a set of limits by its name, or as typed: 'galaxies, 3 h, above 35, moon 40'",
    )
    night.add_argument(
        "--limit", metavar="N", type=int, help="how many objects (20; 5 of them planned)"
    )
    night.add_argument(
        "--plan", action="store_true", help="the running order: kept, else of the suggestions"
    )
    night.add_argument("--json", action="store_true", help="as JSON")

    _command(commands, "nights", _nights, "list the nights of the book")

    one = _command(commands, "night", _night, "read one night back")
    one.add_argument(
        "date", nargs="?", metavar="YYYY-MM-DD", help="date of the evening; else the last"
    )
    _written(one)

    beside = _command(commands, "compare", _compare, "what was different between two nights")
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
    _written(beside)

    for kind, words in (
        ("object", "one object over all nights"),
        ("part", "one part: its values, upkeep, trains and hours"),
        ("year", "a year: hours, darkness used, objects, best nights"),
    ):
        page = _command(commands, kind, _page, words)
        several = 1 if kind == "year" else "+"
        page.add_argument("name", nargs=several, metavar="YYYY" if kind == "year" else "NAME")
        page.set_defaults(kind=kind)
        _written(page)

    trends = _command(commands, "trends", _page, "how seeing, width, focus and hours went")
    trends.add_argument(
        "name",
        nargs="*",
        metavar="YYYY",
        help="a year, the first and the last, or all; else the last three",
    )
    trends.set_defaults(kind="trends")
    _written(trends)

    add = _command(commands, "add", _add, "keep an entry in the night in progress", demo=False)
    add.add_argument("line", nargs="+", metavar="WORD", help="as typed on the entry line")

    train = _command(commands, "train", _train, "what a train does")
    train.add_argument("name", nargs="?", help="a train of the book; else every one")
    shape = train.add_mutually_exclusive_group()
    shape.add_argument("--json", action="store_true", help="as JSON")
    shape.add_argument("--against", metavar="OTHER", help="beside another train")
    shape.add_argument("--rings", metavar="LENGTH", help="the rings that come nearest to a length")
    shape.add_argument(
        "--history", action="store_true", help="its revisions, nights, hours and star widths"
    )
    train.add_argument("--seeing", metavar="ARCSEC", type=float, help="for the sampling (2)")
    _written(train)

    export = _command(commands, "export", _export, "write the whole book as CSV and JSON")
    export.add_argument("folder", metavar="DIR", help="an empty or new folder")

    imported = _command(commands, "import", _import, "make a new book from an export", demo=False)
    imported.add_argument("folder", metavar="DIR", help="the folder of the export")

    backup = _command(commands, "backup", _backup, "make a checked copy of the book", demo=False)
    backup.add_argument("to", nargs="?", metavar="TO", help="a folder or a new file; else beside")

    _command(commands, "check", _check, "whether the book is sound, and what looks wrong in it")

    restore = _command(
        commands,
        "restore",
        _restore,
        "put a copy in the book's place; without one, list them",
        demo=False,
    )
    restore.add_argument("copy", nargs="?", metavar="COPY", help="the copy to go back to")
    star = commands.add_parser(
        "measure",
        help="measure pictures of a defocused star",
        description="Measure pictures of a defocused star (FITS, PNG, JPEG, TIFF). Needs no book.",
    )
    star.add_argument("pictures", nargs="+", type=Path, metavar="PICTURE", help="a picture file")
    star.add_argument("--json", action="store_true", help="as JSON")
    star.add_argument(
        "--overlay", type=Path, metavar="DIR", help="a folder for PNGs with the circles drawn"
    )
    star.add_argument(
        "--field", action="store_true", help="a focused frame instead: star widths over the field"
    )
    star.add_argument(
        "--scale", type=float, metavar="ARCSEC_PX", help="image scale, for --field in arcseconds"
    )
    star.set_defaults(run=_measure)

    frames = _command(
        commands, "frames", _frames, "what the frames in a folder would add; add them", demo=False
    )
    frames.add_argument("folder", metavar="DIR", help="searched with all folders below it")
    frames.add_argument("--add", action="store_true", help="add them; else only tell")
    frames.add_argument(
        "--watch", action="store_true", help="add them as the camera writes them, until ctrl+c"
    )
    frames.add_argument(
        "--begin-nights", action="store_true", help="begin nights that are not in the book"
    )
    frames.add_argument("--site", metavar="S", help="whose night; else the site used last")
    frames.add_argument("--train", metavar="T", help="for nights begun; else the one used last")
    frames.add_argument("--json", action="store_true", help="as JSON")

    search = _command(commands, "search", _search, "search every word ever logged")
    search.add_argument("words", nargs="*", metavar="WORD", help="words, or beginnings of words")
    search.add_argument("--kind", metavar="K", action="append", help="note, turn, upkeep ...")
    search.add_argument("--object", metavar="O", default="", help="entries of one object")
    search.add_argument("--part", metavar="P", default="", help="on a part, or with it in use")
    search.add_argument("--train", metavar="T", default="", help="with one train")
    search.add_argument("--from", dest="first", metavar="DATE", help="the first evening")
    search.add_argument("--to", dest="last", metavar="DATE", help="the last evening")
    search.add_argument("--limit", metavar="N", type=int, default=50, help="how many (50)")
    search.add_argument("--json", action="store_true", help="as JSON")

    find = commands.add_parser("find", help="find an object of the catalogue")
    find.add_argument("name", nargs="+", help="any usual name")
    find.set_defaults(run=_find)
    return top


def _command(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
    name: str,
    run: Command,
    words: str,
    *,
    demo: bool = True,
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=words, description=words.capitalize() + ".")
    # Left out here, an option given before the command's name still counts.
    _book_options(command, demo=demo, default=argparse.SUPPRESS)
    command.set_defaults(run=run)
    return command


def _written(command: argparse.ArgumentParser) -> None:
    """How a page may be written."""
    forms = ("text", "markdown", "json", "html")
    command.add_argument("--as", dest="form", choices=forms, help="how to write it; else by FILE")
    command.add_argument("--to", metavar="FILE", help="write it to a file (.txt .md .json .html)")
    command.add_argument(
        "--replace", action="store_true", help="write over a FILE that is no report"
    )


def _book_options(
    command: argparse.ArgumentParser, *, demo: bool, default: str | None = None
) -> None:
    command.add_argument(
        "--book",
        metavar="FILE",
        default=default,
        help="the book; else LOGBOOK_BOOK, else the usual",
    )
    if demo:
        command.add_argument(
            "--demo", action="store_true", help="the demo season instead of a book"
        )


def _book_path(options: argparse.Namespace) -> Path:
    """The book meant; for the demo season a fresh copy that nothing else uses."""
    from logbook.store.opening import chosen_book_path

    if not getattr(options, "demo", False):
        return chosen_book_path(options.book)
    _refuse_book_beside_demo(options)
    from logbook.store.demo import fresh_demo

    return fresh_demo(_demo_folder())


def _refuse_book_beside_demo(options: argparse.Namespace) -> None:
    if options.book:
        raise BadInput("a book and the demo season exclude each other: give one of them")


def _demo_folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="observing-logbook-"))


def _screen(options: argparse.Namespace) -> int:
    from logbook.screen.run import run
    from logbook.store.opening import chosen_book_path

    return run(chosen_book_path(options.book), red=options.red)


def _demo(options: argparse.Namespace) -> int:
    _refuse_book_beside_demo(options)
    from logbook.screen.run import run

    return run(_demo_folder(), demo=True, red=options.red)


def _where(options: argparse.Namespace) -> int:
    print(_book_path(options))
    return 0


def _begin(options: argparse.Namespace) -> int:
    from logbook.store.opening import chosen_book_path, make_book

    print(make_book(chosen_book_path(options.book)))
    return 0


def _tonight(options: argparse.Namespace) -> int:
    with _reading(options) as book:
        from logbook.report.tonight_page import print_tonight

        print_tonight(
            book,
            site_name=options.site,
            train_name=options.train,
            date_typed=options.date,
            min_altitude_deg=options.min_altitude,
            limits_typed=options.limits,
            min_moon_separation_deg=options.min_moon_separation,
            most=options.limit,
            plan=options.plan,
            as_json=options.json,
        )
    return 0


def _nights(options: argparse.Namespace) -> int:
    from logbook.report.printing import print_nights

    with _reading(options) as book:
        print_nights(book)
    return 0


def _night(options: argparse.Namespace) -> int:
    if options.form or options.to:
        return _report(options, "night", options.date or "")
    from logbook.report.printing import print_night

    with _reading(options) as book:
        print_night(book, options.date)
    return 0


def _compare(options: argparse.Namespace) -> int:
    return _report(options, "compare", " ".join(filter(None, (options.date, options.other))))


def _page(options: argparse.Namespace) -> int:
    return _report(options, options.kind, " ".join(options.name))


def _train(options: argparse.Namespace) -> int:
    if options.history or options.form or options.to:
        if not options.name:
            raise BadInput("name the train to look back on: logbook train NAME --history")
        return _report(options, "train", options.name)
    from logbook.report.train_page import print_against, print_rings, print_trains

    if (options.against or options.rings) and not options.name:
        raise BadInput("say which train: logbook train NAME --against OTHER, or --rings LENGTH")
    with _reading(options) as book:
        if options.against:
            print_against(book, options.name, options.against, options.seeing)
        elif options.rings:
            print_rings(book, options.name, options.rings)
        else:
            print_trains(book, options.name, as_json=options.json, seeing_arcsec=options.seeing)
    return 0


def _report(options: argparse.Namespace, kind: str, name: str) -> int:
    from logbook.report.page_keys import PageKey
    from logbook.report.writing import report

    with _reading(options) as book:
        key = PageKey(kind, name)
        report(book, key, options.form, options.to, replace=options.replace)
    return 0


def _add(options: argparse.Namespace) -> int:
    from logbook.report.adding import add_line
    from logbook.store.opening import open_book

    with open_book(_book_path(options)) as book:
        print(add_line(book, " ".join(options.line)))
    return 0


def _frames(options: argparse.Namespace) -> int:
    from logbook.report.frames_page import FramesWanted, frames_command
    from logbook.store.opening import open_book

    wanted = FramesWanted(
        folder=options.folder,
        add=options.add,
        watch=options.watch,
        as_json=options.json,
        site_name=options.site,
        train_name=options.train,
        begin_nights=options.begin_nights,
    )
    read_only = not (wanted.add or wanted.watch)
    with open_book(_book_path(options), read_only=read_only) as book:
        frames_command(book, wanted)
    return 0


def _export(options: argparse.Namespace) -> int:
    from logbook.report.safekeeping import export

    with _reading(options) as book:
        export(book, Path(options.folder).expanduser())
    return 0


def _import(options: argparse.Namespace) -> int:
    from logbook.report.safekeeping import bring_in

    bring_in(Path(options.folder).expanduser(), _book_path(options))
    return 0


def _backup(options: argparse.Namespace) -> int:
    from logbook.report.safekeeping import back_up

    back_up(_book_path(options), options.to)
    return 0


def _check(options: argparse.Namespace) -> int:
    from logbook.report.safekeeping import check

    with _reading(options) as book:
        return check(book)


def _restore(options: argparse.Namespace) -> int:
    from logbook.report.safekeeping import restore

    restore(_book_path(options), options.copy)
    return 0


def _measure(options: argparse.Namespace) -> int:
    if options.field:
        from logbook.report.field_page import print_fields

        print_fields(options.pictures, scale_arcsec_px=options.scale, as_json=options.json)
        return 0
    if options.scale is not None:
        raise BadInput("--scale belongs to --field")
    from logbook.report.measure_page import print_measures

    print_measures(options.pictures, as_json=options.json, overlay_folder=options.overlay)
    return 0


def _search(options: argparse.Namespace) -> int:
    from logbook.report.search_page import date_typed, print_search
    from logbook.store.search import Wanted

    wanted = Wanted(
        " ".join(options.words),
        tuple(options.kind or ()),
        options.object,
        options.part,
        options.train,
        date_typed(options.first),
        date_typed(options.last),
    )
    with _reading(options) as book:
        print_search(book, wanted, options.limit, as_json=options.json)
    return 0


def _find(options: argparse.Namespace) -> int:
    from logbook.report.printing import print_found

    print_found(" ".join(options.name))
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
def _reading(options: argparse.Namespace) -> Iterator["Book"]:
    """The book, for a command that only reads it; a copy of the demo season goes afterwards."""
    from logbook.store.opening import open_book

    path = _book_path(options)
    try:
        with _uncollected(), open_book(path, read_only=True) as book:
            yield book
    finally:
        if getattr(options, "demo", False):
            shutil.rmtree(path.parent, ignore_errors=True)
