"""The night in progress: entries, frames, pictures of a star."""

import argparse
from pathlib import Path

from logbook.commands.shared import Subparsers, book_path, command
from logbook.errors import BookRefused
from logbook.report.defaults import night_id_of
from logbook.store.opening import open_book
from logbook.text import printable


def add_to(commands: Subparsers) -> None:
    """Add the commands of this group."""
    add = command(commands, "add", _add, "keep an entry in the night in progress", demo=False)
    add.add_argument("line", nargs="+", metavar="WORD", help="as typed on the entry line")
    add.add_argument(
        "--night", metavar="DATE", help="in the night of that evening, though it is over"
    )
    add.add_argument(
        "--outside",
        action="store_true",
        help="with --night: also before its start or after its end",
    )

    frames = command(
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


def _add(options: argparse.Namespace) -> int:
    from logbook.commands.add_entry import add_line, add_line_to, refuse_damaged

    typed = " ".join(options.line)
    try:
        with open_book(book_path(options)) as book:
            refuse_damaged(book)
            if options.night is None:
                print(add_line(book, typed))
            else:
                night_id = night_id_of(book, options.night)
                print(add_line_to(book, night_id, typed, outside=options.outside))
    except BookRefused as error:
        raise type(error)(f"{error} Not saved: {printable(typed)}") from error
    return 0


def _frames(options: argparse.Namespace) -> int:
    from logbook.commands.frames import FramesWanted, frames_command

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
    with open_book(book_path(options), read_only=read_only) as book:
        frames_command(book, wanted)
    return 0


def _measure(options: argparse.Namespace) -> int:
    from logbook.commands.measure import print_pictures

    print_pictures(
        options.pictures,
        as_json=options.json,
        overlay_folder=options.overlay,
        field=options.field,
        scale_arcsec_px=options.scale,
    )
    return 0
