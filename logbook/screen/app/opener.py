"""Opening the book: once the first frame is drawn, after a refusal, and for the first time."""

import tempfile
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App

from logbook.crash_log import failure_words
from logbook.errors import BookRefused, LogbookError, NotWritten
from logbook.screen.app.book_error import Refused
from logbook.screen.app.book_follower import BookFollower
from logbook.screen.app.drafts_home import DraftsHome
from logbook.screen.app.pages import Pages
from logbook.screen.app.tonight import SkyController
from logbook.screen.services.book_snapshot import BookView, read_view
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.messages import JobFailed, JobWanted
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import DRAFT_PLACE, EntryBar
from logbook.screen.widgets.grammar import Grammar
from logbook.screen.widgets.page import run_beside
from logbook.store.file.window import Window

if TYPE_CHECKING:
    from types import ModuleType

    from logbook.store.book import Book
    from logbook.store.file.backups import Copy
    from logbook.store.writer import Writer

TAKE_OVER_AGAIN_S = 2.0


class BookOpener:
    """Opens the book in a thread and puts it on the desk, or says why it cannot be.

    source -- makes or opens the book; the first frame is drawn before it is asked.
    forget_typed_ahead -- called where what was typed before wasn't meant for what comes up.
    """

    def __init__(
        self,
        app: App[int],
        desk: Desk,
        source: BookSource,
        pages: Pages,
        sky: SkyController,
        follower: BookFollower,
        drafts: DraftsHome,
        forget_typed_ahead: Callable[[], None],
    ) -> None:
        self.source = source
        self.window: Window | None = None
        self.exit_code = 0  # of a book that was refused and never opened
        self._app = app
        self._desk = desk
        self._pages = pages
        self._sky = sky
        self._follower = follower
        self._drafts = drafts
        self._forget_typed_ahead = forget_typed_ahead
        self._copies_refused: set[Path] = set()  # damaged since they were made

    @property
    def _bar(self) -> EntryBar:
        return self._app.query_one(EntryBar)

    @property
    def is_coming(self) -> bool:
        """Whether the book is awaited, and nothing is asked of it meanwhile."""
        return self._desk.book is None and len(self._app.screen_stack) == 1

    def begin(self) -> None:
        """After the first frame: open the book, or ask for a site and a train first."""
        self._bar.take_keys()
        self._pages.make_ahead("choose")
        if self.source.is_first_start():
            self._ask_first_run()
        else:
            self._open()
        run_beside(self._app, self._read_catalogue, "catalogue")

    def _ask_first_run(self) -> None:
        """No book yet: ask for a site and a train, or offer the demo season."""
        self._app.push_screen(_first_run().FirstRun(self.source), self._first_run_answered)

    def _first_run_answered(self, source: BookSource | None) -> None:
        if source is not None:
            self.source = source
        self._open()

    # --- opening ---

    def _open(self) -> None:
        run_beside(self._app, self._open_and_read, "book")

    def _open_and_read(self) -> None:
        """In a thread. A book that cannot be read is closed."""
        try:
            from logbook.store.writer import Writer

            self.window = self.window or Window()
            book = self.source.open()
            try:
                left, view = _left_half_typed(book, self.window), read_view(book)
            except BaseException:
                book.close()
                raise
            self._app.call_later(self._opened, book, Writer(book), view, left)
        except LogbookError as error:
            self._app.call_later(self._refused, str(error), error.exit_code)
        except Exception as error:  # whatever it is, the book will not come
            words = self.source.damage() or failure_words(error)
            self._app.call_later(self._refused, words, BookRefused.exit_code)

    def _opened(
        self, book: "Book", writer: "Writer", view: BookView, left: tuple[str, ...] | None
    ) -> None:
        """The book was opened and read.

        left -- the lines that were half typed or waited when the program ended last; None if that
            could not be asked.
        """
        assert self.window is not None
        desk = self._desk
        desk.book, desk.writer, desk.view = book, writer, view
        self._drafts.begin(writer, self.window.name)
        self._follower.begin(book)
        self._bar.lines.book_opened(left or ())
        if left is None:
            self._take_over_later()
        self._follower.redraw()
        self._sky.work_out()
        self._follower.begin_looking()
        self._pages.show_first("night" if view.night is not None else "choose")
        _first_run().ask_what_is_missing(self._app, desk, self._answered)
        run_beside(self._app, self._check, "check")

    def _take_over_later(self) -> None:
        """Another program writes: look again for what was left."""
        self._app.set_timer(TAKE_OVER_AGAIN_S, self._take_over)

    def _take_over(self) -> None:
        assert self._desk.drafts is not None
        with suppress(NotWritten):  # the program is being left
            future = self._desk.drafts.take_over(DRAFT_PLACE)
            future.add_done_callback(lambda done: self._app.call_later(self._taken_over, done))

    def _taken_over(self, future: "Future[tuple[str, ...] | None]") -> None:
        error = future.exception()
        if error is not None:
            self._app.post_message(JobFailed(failure_words(error)))
            return
        left = future.result()
        if left is None:
            self._take_over_later()
        elif left:
            self._bar.lines.add_waiting(left)

    def _answered(self, job: Job | None) -> None:
        if job is not None:
            self._app.post_message(JobWanted(job))

    def _check(self) -> None:
        """Read the whole file once in the background: damage is to be known at once."""
        book = self._desk.book
        words = book.whole_check() if book is not None else ""
        if words:
            self._app.call_later(self._bar.warn, words)

    def _read_catalogue(self) -> None:
        """What the entry line needs: its grammar and the names of the sky."""
        Grammar()  # imported here, so that typing never waits
        try:
            self._desk.sky.load()
        finally:  # lines wait for it: without it they are read as well as they can be
            self._app.call_later(self._catalogue_ready)

    def _catalogue_ready(self) -> None:
        self._desk.knows_objects = True
        for bar in self._app.query(EntryBar):  # none is left while the program is left
            bar.lines.begin_reading()

    # --- a refusal ---

    def _refused(self, words: str, exit_code: int) -> None:
        """The book cannot be opened; `words` say why and what to do."""
        self.exit_code = exit_code
        self._forget_typed_ahead()
        copy = self.source.newest_copy(self._copies_refused)
        refused = Refused(words, copy, is_missing=self.source.is_missing())
        self._app.push_screen(refused, lambda what: self._refused_answered(what, copy))

    def _refused_answered(self, what: str | None, copy: "Copy | None") -> None:
        """After a refusal: a copy, a new book, the demo season, or another try."""
        self.exit_code = 0
        if what == "copy" and copy is not None:
            run_beside(self._app, partial(self._put_back, copy), "book")
            return
        if what == "new":
            self._ask_first_run()
            return
        if what == "demo":
            self.source = self.source.as_demo(Path(tempfile.mkdtemp(prefix="observing-logbook-")))
        self._open()

    def _put_back(self, copy: "Copy") -> None:
        """Put a copy in the place of a book that is not there or cannot be opened."""
        try:
            words = self.source.put_back(copy)
        except LogbookError as error:
            self._copies_refused.add(copy.path)
            self._app.call_later(self._refused, str(error), error.exit_code)
            return
        self._app.call_later(self._was_put_back, words)

    def _was_put_back(self, words: str) -> None:
        self._bar.warn(words)
        self._open()

    # --- the end ---

    def close_window(self) -> None:
        """After all that the writer still has to do: till then what is typed is this window's."""
        if self.window is None:
            return
        if self._desk.writer is None:
            self.window.close()
        else:
            try:
                self._desk.writer.when_idle(self.window.close)
            except NotWritten:  # the writer is closed already
                self.window.close()


def _left_half_typed(book: "Book", window: "Window") -> tuple[str, ...] | None:
    """What was half typed in windows that have ended; None while another program writes."""
    try:
        return book.drafts.take_over(DRAFT_PLACE, window.name)
    except NotWritten:
        return None


def _first_run() -> "ModuleType":
    from logbook.screen.app import first_run

    return first_run
