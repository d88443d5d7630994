"""What a train does."""

import argparse

from logbook.commands.shared import Subparsers, command, reading, report, written
from logbook.errors import BadInput


def add_to(commands: Subparsers) -> None:
    """Add the commands of this group."""
    train = command(commands, "train", _train, "what a train does")
    train.add_argument("name", nargs="?", help="a train of the book; else every one")
    shape = train.add_mutually_exclusive_group()
    shape.add_argument("--json", action="store_true", help="as JSON")
    shape.add_argument("--against", metavar="OTHER", help="beside another train")
    shape.add_argument("--rings", metavar="LENGTH", help="the rings that come nearest to a length")
    shape.add_argument(
        "--history", action="store_true", help="its revisions, nights, hours and star widths"
    )
    train.add_argument("--seeing", metavar="ARCSEC", type=float, help="for the sampling (2)")
    written(train)


def _train(options: argparse.Namespace) -> int:
    if options.history or options.form or options.to:
        if not options.name:
            raise BadInput("name the train to look back on: logbook train NAME --history")
        return report(options, "train", options.name)
    from logbook.commands.train_cmd import print_against, print_rings, print_trains

    if (options.against or options.rings) and not options.name:
        raise BadInput("say which train: logbook train NAME --against OTHER, or --rings LENGTH")
    with reading(options) as book:
        if options.against:
            print_against(book, options.name, options.against, options.seeing)
        elif options.rings:
            print_rings(book, options.name, options.rings)
        else:
            print_trains(book, options.name, as_json=options.json, seeing_arcsec=options.seeing)
    return 0
