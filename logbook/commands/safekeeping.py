"""The book as a file: begun, copied, checked, exported."""

import argparse
from collections.abc import Callable

from logbook.commands.shared import Subparsers, book_path, command, not_empty


def add_to(commands: Subparsers) -> None:
    """Add the commands of this group."""
    command(commands, "where", _where, "print where the book is")
    command(commands, "begin", _job("begin"), "make an empty book", demo=False)

    export = command(commands, "export", _job("export"), "write the whole book as CSV and JSON")
    export.add_argument("folder", metavar="DIR", type=not_empty, help="an empty or new folder")

    imported = command(
        commands, "import", _job("import"), "make a new book from an export", demo=False
    )
    imported.add_argument("folder", metavar="DIR", type=not_empty, help="the folder of the export")

    backup = command(
        commands, "backup", _job("backup"), "make a checked copy of the book", demo=False
    )
    backup.add_argument(
        "to", nargs="?", metavar="TO", type=not_empty, help="a folder or a new file; else beside"
    )

    command(
        commands,
        "check",
        _job("check"),
        "whether the book is sound, and what looks wrong in it",
    )

    restore = command(
        commands,
        "restore",
        _job("restore"),
        "put a copy in the book's place; without one, list them",
        demo=False,
    )
    restore.add_argument(
        "copy", nargs="?", metavar="COPY", type=not_empty, help="the copy to go back to"
    )


def _where(options: argparse.Namespace) -> int:
    print(book_path(options))
    return 0


def _job(name: str) -> Callable[[argparse.Namespace], int]:
    def run(options: argparse.Namespace) -> int:
        from logbook.commands.book_files import JOBS

        return JOBS[name](options)

    return run
