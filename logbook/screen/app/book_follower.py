"""What the screen shows of the book, as it goes on: here, in another program, by the clock."""

from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING

from textual.app import App
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.report.registry import count_ahead
from logbook.screen.app.pages import Pages
from logbook.screen.app.tonight import SkyController
from logbook.screen.services.book_snapshot import BookView, read_view
from logbook.screen.services.clock_watch import ClockWatch
from logbook.screen.services.live_hints import Lessons, read_lessons
from logbook.screen.services.messages import BookChanged
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.page import run_beside

if TYPE_CHECKING:
    from logbook.store.book import Book
    from logbook.store.timeline.changes import Watch

SKY_EVERY_S = 60.0
BOOK_EVERY_S = 1.0  # what another program keeps is seen so soon
SETTLED_S = 15.0  # after the book was opened; by then everything heavy was imported


class BookFollower:
    """Puts each reading of the book on the desk and has it drawn.

    when_settled -- called once, in a thread, when all that the program works with has been made.
    """

    def __init__(
        self,
        app: App[int],
        desk: Desk,
        pages: Pages,
        sky: SkyController,
        when_settled: Callable[[], None],
    ) -> None:
        self._app = app
        self._desk = desk
        self._pages = pages
        self._sky = sky
        self._when_settled = when_settled
        self._clock_watch = ClockWatch(desk.clock)
        self._watch: Watch | None = None

    def begin(self, book: "Book") -> None:
        """The book is on the desk: follow it from now on."""
        self._watch = book.watch()
        self.learn()

    def begin_looking(self) -> None:
        """All is drawn once: look at the clock and at the book every so often."""
        self._clock_watch.look()
        self._app.set_interval(SKY_EVERY_S, self._tick)
        self._app.set_interval(BOOK_EVERY_S, self.look)
        self._app.set_timer(SETTLED_S, lambda: run_beside(self._app, self._count_ahead, "ahead"))

    def stop(self) -> None:
        if self._watch is not None:
            self._watch.close()

    def redraw(self) -> None:
        """Draw everything from the desk."""
        self._sky.follow()
        self._pages.redraw()

    def show(self, view: BookView) -> None:
        """The book is as this says: draw it, and have done what hangs on it."""
        before, self._desk.view = self._desk.view, view
        self.redraw()
        if view.timeline != before.timeline:
            self.learn()
        if (before.night is None) != (view.night is None):
            self._pages.turn_to("night")  # begun: one types at once; ended: it is announced
        if (before.site, before.train) != (view.site, view.train):
            self._sky.work_out()

    # --- another program ---

    def look(self) -> None:
        """See what another program saved; costs some microseconds where there is nothing."""
        run_beside(self._app, self._look, "watch")

    def _look(self) -> None:
        book, watch = self._desk.book, self._watch
        if book is None or watch is None or not watch.changed():
            return
        try:
            view = read_view(book)
        except LogbookError:  # the next thing saved says what is wrong
            return
        self._app.post_message(BookChanged(book, view))

    def has_changed(self, event: BookChanged) -> None:
        if event.book is not self._desk.book or event.view.mark < self._desk.view.mark:
            return  # read before what is shown by now was saved
        if event.view != self._desk.view:
            self.show(event.view)

    # --- the clock ---

    def _tick(self) -> None:
        """Once a minute: the clock on the strip; at noon the night is another one."""
        tonight = self._desk.tonight
        if tonight is not None and tonight.night.local_date != self._desk.chosen_date:
            self._sky.work_out()
        words = self._clock_watch.look()
        if words:
            self._app.query_one(EntryBar).say(words, bold=True)
        self._pages.redraw_strip()

    # --- what was counted and learned ---

    def _count_ahead(self) -> None:
        """While nothing is asked, count what the pages over twenty years would wait for."""
        book = self._desk.book
        with suppress(LogbookError):  # the next thing asked for says what is wrong
            if book is not None:
                count_ahead(book)
        self._when_settled()

    def learn(self) -> None:
        """See what the readings say now: for the reminders."""
        run_beside(self._app, self._learn, "lessons")

    def _learn(self) -> None:
        book, night, worker = self._desk.book, self._desk.view.night, get_current_worker()
        try:
            lessons = read_lessons(book, night.id) if book and night else Lessons()
        except LogbookError:  # the next thing saved says what is wrong
            return
        if not worker.is_cancelled:
            self._app.call_later(self._lessons_ready, lessons)

    def _lessons_ready(self, lessons: Lessons) -> None:
        self._desk.lessons = lessons
        for page in self._pages.finished():
            page.redraw_sky()
