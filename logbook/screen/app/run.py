"""Start the screen on a book."""

import gc
import sys
from contextlib import suppress
from pathlib import Path

from logbook.screen.app.app import LogbookApp
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.screen.services.sky import RealSky
from logbook.store.file.peek import peek_choice


def run(path: Path, *, demo: bool = False, red: bool = False) -> int:
    """Show the book at `path` (or the demo season, saved in the folder `path`); the exit code."""
    source = BookSource(path, demo=demo)
    red = red or peek_choice(path, "view") == "red"  # known before the first frame: no white flash
    desk = Desk(sky=RealSky(), clock=source.clock)
    # What stands for as long as the program is not looked through for garbage again and again:
    # each time a key would wait 0.2 s for it.
    app = LogbookApp(source, desk, red=red, when_settled=gc.freeze)
    app.run()
    if app.crash:
        print(f"\x1b[31m{app.crash}\x1b[0m", file=sys.stderr)
    if app.desk.writer is not None:
        app.desk.writer.close()
    if app.desk.book is not None:
        app.desk.book.close()
        if app.parts.opener.source.demo:
            _remove_copy(app.desk.book.path)
    return app.return_code or 0


def _remove_copy(book: Path) -> None:
    """Remove the demo's copy, and its folder if nothing else is in it."""
    with suppress(OSError):
        for each in book.parent.glob(f"{book.name}*"):
            each.unlink()
        book.parent.rmdir()
