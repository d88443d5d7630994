"""The entry point: without a command the screen, else one command of `logbook.commands`.

Nothing heavy is imported at the top: each command brings its own.
What is asked for goes to standard output; messages about it, and errors, to standard error.
"""

import argparse
import errno
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from logbook import __version__
from logbook.commands import choosing, kit, night, past, safekeeping, upkeep
from logbook.commands.shared import (
    Command,
    book_options,
    demo_folder,
    refuse_book_beside_demo,
)
from logbook.crash_log import crash_words, write_crash_log
from logbook.errors import BadInput, BookRefused, LogbookError
from logbook.store.file.book_state import chosen_book_path
from logbook.store.integrity.damage import damage_words

EXIT_CODES = """\
exit codes: 0 done; 1 unforeseen; 2 cannot be understood or cannot be true; 3 no such object,
site, train or night; 4 the book is not there, not a book, newer or damaged; 5 it cannot be written
"""


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
        if isinstance(error, OSError) and error.errno == errno.ENAMETOOLONG:
            print("logbook: that file's name is too long: choose a shorter one", file=sys.stderr)
            return BadInput.exit_code
        return _unforeseen(error, options)


def _unforeseen(error: Exception, options: argparse.Namespace) -> int:
    """Keep the details in a file and say one line; where the book is damaged, that is why."""
    damaged = (
        "" if getattr(options, "demo", False) else damage_words(chosen_book_path(options.book))
    )
    if damaged:
        print(f"logbook: {damaged}", file=sys.stderr)
        return BookRefused.exit_code
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
    book_options(top, demo=False)
    _red_option(top, default=False)
    top.set_defaults(run=_screen)
    commands = top.add_subparsers(title="commands", metavar="COMMAND")

    demo = commands.add_parser("demo", help="a fresh copy of the demo season on the screen")
    _red_option(demo, default=argparse.SUPPRESS)
    demo.set_defaults(run=_demo)

    for room in (choosing, night, past, kit, upkeep, safekeeping):
        room.add_to(commands)
    return top


def _red_option(command: argparse.ArgumentParser, *, default: bool | str) -> None:
    """Red from the first frame; left out at a command, what was given before its name counts."""
    command.add_argument(
        "--red", action="store_true", default=default, help="begin in the red night view"
    )


def _screen(options: argparse.Namespace) -> int:
    return _run(chosen_book_path(options.book), demo=False, red=options.red)


def _demo(options: argparse.Namespace) -> int:
    refuse_book_beside_demo(options)
    return _run(demo_folder(), demo=True, red=options.red)


def _run(path: Path, *, demo: bool, red: bool) -> int:
    from logbook.screen.app.run import run

    return run(path, demo=demo, red=red)
