"""Upkeep: what is due, what was done, what is wished for."""

import argparse

from logbook.commands.shared import Subparsers, command, reading
from logbook.errors import BadInput


def add_to(commands: Subparsers) -> None:
    """Add the commands of this group."""
    upkeep = command(commands, "upkeep", _upkeep, "what is due, what was done, what to order")
    upkeep.add_argument(
        "--all", dest="every_rule", action="store_true", help="every rule, due or not"
    )
    upkeep.add_argument(
        "--history", metavar="PART", nargs="?", const="", help="what was done, to all or one part"
    )
    upkeep.add_argument(
        "--wishes", action="store_true", help="the wish list, and small hardware with its sizes"
    )
    upkeep.add_argument("--json", action="store_true", help="as JSON")


def _upkeep(options: argparse.Namespace) -> int:
    from logbook.commands.upkeep_cmd import print_due, print_history, print_wishes

    asked = (options.every_rule, options.history is not None, options.wishes)
    if sum(asked) > 1:
        raise BadInput("ask for one at a time: --all, --history or --wishes")
    with reading(options) as book:
        if options.history is not None:
            print_history(book, options.history or None, as_json=options.json)
        elif options.wishes:
            print_wishes(book, as_json=options.json)
        else:
            print_due(book, every_rule=options.every_rule, as_json=options.json)
    return 0
