"""The screen: the night strip, one page, the entry line, the keys.

Threads: workers touch no widget, they post messages; the handlers here own the desk. What writes
in the book goes to its one writer thread, and "kept" is said only when that has it on disk.
"""

import tempfile
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import Future
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import App, ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.filter import LineFilter
from textual.message import Message
from textual.screen import Screen
from textual.widgets import ContentSwitcher
from textual.worker import get_current_worker

from logbook.errors import LogbookError
from logbook.report.crash import crash_words, write_crash_log
from logbook.screen import night_flow
from logbook.screen.clock_watch import ClockWatch
from logbook.screen.desk import Desk
from logbook.screen.entry_bar import DRAFT_SLOT, EntryBar
from logbook.screen.failures import TellsFailures
from logbook.screen.key_line import KeyLine
from logbook.screen.keys import KEYS
from logbook.screen.lessons import Lessons, read_lessons
from logbook.screen.live_sheet import LiveSheet
from logbook.screen.messages import (
    BookChanged,
    BookOpened,
    BookRefusedWords,
    CatalogueReady,
    JobDone,
    JobFailed,
    JobWanted,
    LessonsReady,
    SkyFailed,
    SkyReady,
    SkyWanted,
    TrackReady,
)
from logbook.screen.page import Page
from logbook.screen.pages import make_page
from logbook.screen.red import RedFilter
from logbook.screen.strip import NightStrip
from logbook.screen.view import BookView, read_view
from logbook.store.book_source import BookSource
from logbook.store.records import TargetCopy
from logbook.store.running import running_object

if TYPE_CHECKING:
    from logbook.store.news import Watch
    from logbook.store.writer import DraftKeeper

SKY_EVERY_S = 60.0
BOOK_EVERY_S = 1.0  # what another program keeps is seen so soon
SETTLED_S = 15.0  # after the book was opened; by then everything heavy was imported


class LogbookApp(TellsFailures, App[int]):
    """The program on the screen.

    source -- makes or opens the book; the first frame is drawn before it is asked.
    desk -- holds the sky and the clock; tests put stand-ins there.
    when_settled -- called once, when all that the program works with has been made.
    """

    CSS_PATH = "app.tcss"
    TITLE = "Observing logbook"
    BINDINGS: ClassVar[list[BindingType]] = [key.binding() for key in KEYS]
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012 (Textual's own)
    VERTICAL_BREAKPOINTS = [(0, "-low"), (22, "-home")]  # noqa: RUF012

    def __init__(
        self,
        source: BookSource,
        desk: Desk,
        *,
        red: bool = False,
        when_settled: Callable[[], None] = lambda: None,
    ) -> None:
        super().__init__()
        self.when_settled = when_settled
        self.source = source
        self.desk = desk
        self.crash: str = ""
        self._code_on_leaving = 0
        self._red_filter = RedFilter(enabled=red)
        self._drafts: DraftKeeper | None = None
        self._clock_watch = ClockWatch(desk.clock)
        self._watch: Watch | None = None
        self._followed: tuple[object, ...] | None = None

    # --- what is drawn ---

    def compose(self) -> ComposeResult:
        yield NightStrip(self.desk)
        yield ContentSwitcher(id="pages")
        yield EntryBar(self.desk)
        yield KeyLine()

    def get_line_filters(self) -> Sequence[LineFilter]:
        filters = list(super().get_line_filters())
        return [*filters, self._red_filter] if self._red_filter.enabled else filters

    # --- opening ---

    def on_mount(self) -> None:
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        """After the first frame: open the book, or ask for a site and a train first."""
        self.action_turn_to("choose")
        if self.source.is_missing():
            self.ask_first_run()
        else:
            self.open_book()
        self.read_catalogue()

    def ask_first_run(self) -> None:
        """No book yet: ask for a site and a train, or offer the demo season."""
        from logbook.screen.first_run import FirstRun

        self.push_screen(FirstRun(self.source), self._first_run_answered)

    def _first_run_answered(self, source: BookSource | None) -> None:
        if source is not None:
            self.source = source
        self.open_book()

    @work(thread=True, exclusive=True, exit_on_error=False, group="book")
    def open_book(self) -> None:
        try:
            from logbook.store.writer import Writer

            book = self.source.open()
            self.desk.book, self.desk.writer = book, Writer(book)
            self.post_message(BookOpened(read_view(book), book.drafts.get(DRAFT_SLOT)))
        except LogbookError as error:
            self.post_message(BookRefusedWords(str(error), error.exit_code))

    @work(thread=True, exclusive=True, exit_on_error=False, group="catalogue")
    def read_catalogue(self) -> None:
        """What the entry line needs: its grammar and the names of the sky."""
        import logbook.screen.reading  # noqa: F401 (imported here, so that typing never waits)

        self.desk.sky.load()
        self.post_message(CatalogueReady())

    @on(BookOpened)
    def _book_opened(self, event: BookOpened) -> None:
        from logbook.store.writer import DraftKeeper

        assert self.desk.writer is not None
        self._drafts = DraftKeeper(self.desk.writer, DRAFT_SLOT)
        self.desk.view = event.view
        self.learn()
        bar = self.query_one(EntryBar)
        if event.draft and not bar.line.value:
            bar.restore(event.draft)
        self.redraw()
        self.work_out_sky()
        self._clock_watch.look()
        self.set_interval(SKY_EVERY_S, self._tick)
        self.set_interval(BOOK_EVERY_S, self.look_at_book)
        self.set_timer(SETTLED_S, self.when_settled)
        if event.view.night is not None:
            self.action_turn_to("night")
        if not event.view.sites:
            self.action_new_site()
        self.check_book()

    @work(thread=True, exclusive=True, exit_on_error=False, group="watch")
    def look_at_book(self) -> None:
        """See what another program kept; costs some microseconds where there is nothing."""
        book = self.desk.book
        if book is None:
            return
        self._watch = self._watch or book.watch()
        if not self._watch.changed():
            return
        try:
            view = read_view(book)
        except LogbookError:  # the next thing kept says what is wrong
            return
        self.post_message(BookChanged(view))

    @on(BookChanged)
    def _book_changed(self, event: BookChanged) -> None:
        if event.view != self.desk.view:
            self._show_view(event.view)

    @work(thread=True, exclusive=True, exit_on_error=False, group="check")
    def check_book(self) -> None:
        """Read the whole file once in the background: damage is to be known at once."""
        book = self.desk.book
        words = book.whole_check() if book is not None else ""
        if words:
            self.post_message(JobFailed(words))

    @on(BookRefusedWords)
    def _book_refused(self, event: BookRefusedWords) -> None:
        from logbook.screen.refused import Refused

        self._code_on_leaving = event.exit_code
        self.push_screen(Refused(event.words), self._refused_answered)

    def _refused_answered(self, what: str | None) -> None:
        """After a refusal: the demo season, or another try."""
        self._code_on_leaving = 0
        if what == "demo":
            self.source = self.source.as_demo(Path(tempfile.mkdtemp(prefix="observing-logbook-")))
        self.open_book()

    # --- the sky ---

    @work(thread=True, exclusive=True, exit_on_error=False, group="sky")
    def work_out_sky(self) -> None:
        """Work out the night for the site and train in use, away from the screen's thread."""
        view, worker = self.desk.view, get_current_worker()
        if view.site is None:
            return
        try:
            train = view.train.train if view.train else None
            desk = self.desk
            facts = desk.facts()
            tonight = desk.sky.tonight(view.site.site, train, desk.chosen_date, desk.limits, facts)
            message: Message = SkyReady(tonight)
        except LogbookError as error:
            message = SkyFailed(str(error))
        if not worker.is_cancelled:
            self.post_message(message)

    def follow(self) -> None:
        """Have the object that runs followed through the night, if it is another one now."""
        view = self.desk.view
        running = running_object(view.timeline) if view.night else None
        limit_deg = self.desk.limits.min_altitude_deg
        wanted = (running, view.site, self.desk.night_date, limit_deg)
        if wanted == self._followed:
            return
        self._followed = wanted
        self.desk.track = None
        if running is not None:
            self.work_out_track(running, limit_deg)

    @work(thread=True, exclusive=True, exit_on_error=False, group="track")
    def work_out_track(self, target: TargetCopy, limit_deg: float) -> None:
        view, worker = self.desk.view, get_current_worker()
        if view.site is None:
            return
        try:
            date = self.desk.night_date
            message = TrackReady(self.desk.sky.track(view.site.site, target, date, limit_deg))
        except LogbookError:  # an object of a book from elsewhere: the page says less of it
            message = TrackReady(None)
        if not worker.is_cancelled:
            self.post_message(message)

    @on(TrackReady)
    def _track_ready(self, event: TrackReady) -> None:
        self.desk.track = event.track
        self._redraw_sky()

    @work(thread=True, exclusive=True, exit_on_error=False, group="lessons")
    def learn(self) -> None:
        """See what the readings say now: for the reminders."""
        book, night, worker = self.desk.book, self.desk.view.night, get_current_worker()
        try:
            lessons = read_lessons(book, night.id) if book and night else Lessons()
        except LogbookError:  # the next thing kept says what is wrong
            return
        if not worker.is_cancelled:
            self.post_message(LessonsReady(lessons))

    @on(LessonsReady)
    def _lessons_ready(self, event: LessonsReady) -> None:
        self.desk.lessons = event.lessons
        for page in self._finished_pages():
            page.redraw_sky()

    @on(SkyWanted)
    def _sky_wanted(self) -> None:
        self.work_out_sky()

    @on(SkyReady)
    def _sky_ready(self, event: SkyReady) -> None:
        self.desk.tonight, self.desk.sky_words = event.tonight, ""
        self.follow()
        self._redraw_sky()

    @on(SkyFailed)
    def _sky_failed(self, event: SkyFailed) -> None:
        self.desk.tonight, self.desk.sky_words = None, event.words
        self._redraw_sky()

    @on(CatalogueReady)
    def _catalogue_ready(self) -> None:
        self.query_one(EntryBar).understand_again()

    def _redraw_sky(self) -> None:
        self.query_one(NightStrip).redraw()
        for page in self._finished_pages():
            page.redraw_sky()
        for sheet in self._live_sheets():
            sheet.sky_changed()

    def _tick(self) -> None:
        """Once a minute: the clock on the strip; at noon the night is another one."""
        tonight = self.desk.tonight
        if tonight is not None and tonight.night.local_date != self.desk.chosen_date:
            self.work_out_sky()
        words = self._clock_watch.look()
        if words:
            self.query_one(EntryBar).say(words, bold=True)
        self.query_one(NightStrip).redraw()

    # --- pages ---

    def action_turn_to(self, page: str) -> None:
        """Show a page; it is made when it is first turned to."""
        self._turn_to(page)

    @work(exclusive=True, group="page")
    async def _turn_to(self, name: str) -> None:
        switcher = self.query_one("#pages", ContentSwitcher)
        if not self.query(f"#{name}"):
            await switcher.add_content(make_page(name, self.desk), id=name)
        switcher.current = name
        page = self.query_one(f"#{name}", Page)
        page.redraw()
        page.redraw_sky()
        page.take_focus()
        self.query_one(KeyLine).mark(name)

    def redraw(self) -> None:
        """Draw everything from the desk."""
        self.query_one(NightStrip).redraw()
        self.follow()
        page = self._page_in_view()
        if page is not None:
            page.redraw()
        for sheet in self._live_sheets():
            sheet.book_changed()

    def _live_sheets(self) -> list[LiveSheet[object]]:
        return [each for each in self.screen_stack if isinstance(each, LiveSheet)]

    def _page_in_view(self) -> Page | None:
        """The page in view; None while the first one is being made."""
        current = self.query_one("#pages", ContentSwitcher).current
        return next((page for page in self._finished_pages() if page.id == current), None)

    def _finished_pages(self) -> list[Page]:
        """Pages that are whole; one still being made draws itself when it is."""
        return [page for page in self.query(Page) if page.is_mounted]

    # --- keeping ---

    @on(EntryBar.Typed)
    def _typed(self, event: EntryBar.Typed) -> None:
        if self._drafts is not None:
            self._drafts.typed(event.text)

    @on(EntryBar.Entered)
    def _entered(self, event: EntryBar.Entered) -> None:
        if event.from_page:
            job = night_flow.keep_understood(event.understood, None)
            self.post_message(JobWanted(job))
            return
        from logbook.store.typed import TypedLine

        line = TypedLine(DRAFT_SLOT, event.typed)
        job = night_flow.keep_understood(event.understood, line)
        self.post_message(JobWanted(job, typed=event.typed))

    @on(EntryBar.Left)
    def _left(self) -> None:
        page = self._page_in_view()
        if page is not None:
            page.leave_line()

    @on(JobWanted)
    def _job_wanted(self, event: JobWanted) -> None:
        book, writer = self.desk.book, self.desk.writer
        if book is None or writer is None:
            words = "Not kept: the book is not open yet. The line is still here."
            self.post_message(JobFailed(words, event.typed))
            return
        future = writer.submit(event.job, book)
        future.add_done_callback(lambda done: self._job_ended(done, event.typed))

    def _job_ended(self, future: "Future[night_flow.Done]", typed: str | None) -> None:
        """In the writer's thread: pass on what became of a job."""
        error = future.exception()
        if error is None:
            if self._drafts is not None and typed is not None:
                self._drafts.kept(typed)
            self.post_message(JobDone(future.result(), typed))
        elif isinstance(error, LogbookError):
            self.post_message(JobFailed(str(error), typed))
        else:
            log = write_crash_log(error)
            where = f" Details: {log}" if log else ""
            self.post_message(JobFailed(f"Not kept: {type(error).__name__}.{where}", typed))

    @on(JobDone)
    def _job_done(self, event: JobDone) -> None:
        self._show_view(event.done.view)  # first: a line that waits is understood by it
        self.query_one(EntryBar).kept(event.done.words, event.typed)

    def _show_view(self, view: BookView) -> None:
        before, self.desk.view = self.desk.view, view
        self.redraw()
        if view.timeline != before.timeline:
            self.learn()
        if (before.night is None) != (self.desk.view.night is None):
            self.action_turn_to("night")  # begun: the owner types at once; ended: it is told
        if (before.site, before.train) != (self.desk.view.site, self.desk.view.train):
            self.work_out_sky()

    def action_far_view(self) -> None:
        """Big letters over everything, or away with them."""
        from logbook.screen.far_view import FarView

        if isinstance(self.screen, FarView):
            self.screen.action_leave()
        elif len(self.screen_stack) == 1:
            self.push_screen(FarView(self.desk))

    @on(JobFailed)
    def _job_failed(self, event: JobFailed) -> None:
        self.query_one(EntryBar).not_kept(event.words, event.typed)
        for sheet in self._live_sheets():
            sheet.say(event.words)

    # --- keys ---

    def action_open_help(self) -> None:
        from logbook.screen.help import HelpSheet

        page = self._page_in_view()
        if page is not None:
            self.push_screen(HelpSheet(page))

    def action_red_view(self) -> None:
        """Switch the red night view, for this book from now on; every line is drawn anew."""
        red = self._red_filter.enabled = not self._red_filter.enabled
        if self.desk.book is not None:
            self.post_message(JobWanted(night_flow.choose("view", "red" if red else "day")))
        self.screen.refresh(layout=True)
        self.refresh(layout=True)

    def action_undo(self) -> None:
        self.post_message(JobWanted(night_flow.undo_last))

    def action_redo(self) -> None:
        self.post_message(JobWanted(night_flow.redo_last))

    def action_type_entry(self) -> None:
        self.query_one(EntryBar).line.focus()

    def action_entry_form(self) -> None:
        from logbook.screen.entry_form import EntryForm

        if self.desk.book is not None:
            self.push_screen(EntryForm(self.desk), self._keep_formed)

    def _keep_formed(self, line: str | None) -> None:
        """A form ends as an entry line, so that both go one way."""
        if line:
            self.query_one(EntryBar).enter(line)

    def action_start_or_end_night(self) -> None:
        from logbook.screen.night_form import EndNight, StartNight

        if self.desk.book is None:
            return
        form = StartNight(self.desk) if self.desk.view.night is None else EndNight(self.desk)
        self.push_screen(form, self._form_answered)

    def action_new_site(self) -> None:
        from logbook.screen.site_form import NewSite

        self.push_screen(NewSite(), self._form_answered)

    def _form_answered(self, job: night_flow.Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While a form is open only its own keys, red view and leaving work."""
        if len(self.screen_stack) > 1 and action in _PAGE_ACTIONS:
            return False
        return super().check_action(action, parameters)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette: every action by name, of every page and of the page in view."""
        for key in KEYS:
            yield SystemCommand(key.help, f"key {key.shown}", partial(self.run_action, key.action))
        page = self._page_in_view()
        for binding in page.BINDINGS if page is not None else ():
            if isinstance(binding, Binding):
                run = partial(self.run_action, binding.action, page)
                yield SystemCommand(binding.tooltip, f"key {binding.key}", run)

    # --- the end ---

    def on_unmount(self) -> None:
        if self._watch is not None:
            self._watch.close()

    async def action_quit(self) -> None:
        """Leave. A book that was refused and never opened is told by the exit code."""
        self.exit(return_code=self._code_on_leaving)

    def _handle_exception(self, error: Exception) -> None:
        """Keep the details in a file and end with one line, not a page of colours.

        Textual's own, of the pinned release: the first error is kept for tests to raise.
        """
        self._return_code = 1
        if self._exception is None:
            self._exception = error
            self._exception_event.set()
        self.crash = crash_words(error, write_crash_log(error))
        self._close_messages_no_wait()


_PAGE_ACTIONS = {
    "open_help",
    "turn_to",
    "undo",
    "redo",
    "entry_form",
    "start_or_end_night",
    "type_entry",
    "command_palette",
}
