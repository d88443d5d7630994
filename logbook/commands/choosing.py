"""What is worth doing tonight."""

import argparse

from logbook.commands.shared import Subparsers, command, reading
from logbook.dates import TAKEN


def add_to(commands: Subparsers) -> None:
    """Add the commands of this group."""
    night = command(commands, "tonight", _tonight, "the night, and what is worth doing in it")
    night.add_argument("--site", metavar="S", help="a site of the book; else the one used last")
    night.add_argument("--train", metavar="T", help="a train of the book; else the one used last")
    night.add_argument(
        "--date",
        nargs="+",
        metavar="DATE",
        default=["tonight"],
        help=f"of the evening: {TAKEN} (a night ago); without a year the next one",
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

    find = commands.add_parser("find", help="find an object of the catalogue")
    find.add_argument("name", nargs="+", help="any usual name")
    find.set_defaults(run=_find)


def _tonight(options: argparse.Namespace) -> int:
    with reading(options) as book:
        from logbook.commands.tonight_cmd import print_tonight

        print_tonight(
            book,
            site_name=options.site,
            train_name=options.train,
            date_typed=" ".join(options.date),
            min_altitude_deg=options.min_altitude,
            limits_typed=options.limits,
            min_moon_separation_deg=options.min_moon_separation,
            most=options.limit,
            plan=options.plan,
            as_json=options.json,
        )
    return 0


def _find(options: argparse.Namespace) -> int:
    from logbook.report.terminal import print_found

    print_found(" ".join(options.name))
    return 0
