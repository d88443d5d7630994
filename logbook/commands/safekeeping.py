"""The book as a file: begun, copied, checked, exported."""

import argparse
from pathlib import Path

from logbook.commands.shared import Subparsers, book_path, command, not_empty, reading


def add_to(commands: Subparsers) -> None:
    """Add the commands of this group."""
    command(commands, "where", _where, "print where the book is")
    command(commands, "begin", _begin, "make an empty book", demo=False)

    export = command(commands, "export", _export, "write the whole book as CSV and JSON")
    export.add_argument("folder", metavar="DIR", type=not_empty, help="an empty or new folder")

    imported = command(commands, "import", _import, "make a new book from an export", demo=False)
    imported.add_argument("folder", metavar="DIR", type=not_empty, help="the folder of the export")

    backup = command(commands, "backup", _backup, "make a checked copy of the book", demo=False)
    backup.add_argument(
        "to", nargs="?", metavar="TO", type=not_empty, help="a folder or a new file; else beside"
    )

    command(commands, "check", _check, "whether the book is sound, and what looks wrong in it")

    restore = command(
        commands,
        "restore",
        _restore,
        "put a copy in the book's place; without one, list them",
        demo=False,
    )
    restore.add_argument(
        "copy", nargs="?", metavar="COPY", type=not_empty, help="the copy to go back to"
    )


def _where(options: argparse.Namespace) -> int:
    print(book_path(options))
    return 0


def _begin(options: argparse.Namespace) -> int:
    from logbook.commands.book_files import begin

    begin(book_path(options))
    return 0


def _export(options: argparse.Namespace) -> int:
    from logbook.commands.book_files import export

    with reading(options) as book:
        export(book, Path(options.folder).expanduser())
    return 0


def _import(options: argparse.Namespace) -> int:
    from logbook.commands.book_files import bring_in

    bring_in(Path(options.folder).expanduser(), book_path(options))
    return 0


def _backup(options: argparse.Namespace) -> int:
    from logbook.commands.book_files import back_up

    back_up(book_path(options), options.to)
    return 0


def _check(options: argparse.Namespace) -> int:
    from logbook.commands.book_files import check

    with reading(options) as book:
        return check(book)


def _restore(options: argparse.Namespace) -> int:
    from logbook.commands.book_files import restore

    restore(book_path(options), options.copy)
    return 0
