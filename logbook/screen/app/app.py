"""The program on the screen: its pages, and the book that they show and write in.

What writes in the book goes to its one writer thread, and "kept" is shown only when that has it on
disk.
"""

import tempfile
import time
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from textual import on, work
from textual.events import Key
from textual.worker import get_current_worker

from logbook.crash_log import failure_words
from logbook.errors import BookRefused, LogbookError, NotWritten
from logbook.screen.app.app_pages import PagesApp
from logbook.screen.app.key_pump import TypedKey, acts_anywhere
from logbook.screen.app.night_bar import NightStrip
from logbook.screen.services import jobs
from logbook.screen.services.book_snapshot import BookView, read_view
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.clock_watch import ClockWatch
from logbook.screen.services.form_draft import FormDrafts
from logbook.screen.services.live_hints import Lessons, read_lessons
from logbook.screen.services.messages import (
    BookChanged,
    BookOpened,
    BookRefusedWords,
    CatalogueReady,
    JobDone,
    JobFailed,
    JobWanted,
    LessonsReady,
    NightEntriesWanted,
)
from logbook.screen.services.run_job import Done, FollowUp, Job, run_job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import DRAFT_PLACE, EntryBar, EntryInput
from logbook.screen.widgets.keys import KEYS
from logbook.screen.widgets.question import Question
from logbook.sky.night.clock import night_date

if TYPE_CHECKING:
    from logbook.screen.services.form_draft import BookDraft
    from logbook.store.book import Book
    from logbook.store.file.backups import Copy
    from logbook.store.file.window import Window
    from logbook.store.timeline.changes import Watch
    from logbook.store.undo.take_back import Step

SKY_EVERY_S = 60.0
BOOK_EVERY_S = 1.0  # what another program keeps is seen so soon
TAKE_OVER_AGAIN_S = 2.0
_LONGEST_OPENING_S = 60.0  # how long a key is held that needs the book
_NEED_THE_BOOK = {key.key: key.shown for key in KEYS if key.id in ("begin", "form", "undo", "redo")}
FOLLOW_UP_S = 10.0  # how long leaving waits for what follows a job
SETTLED_S = 15.0  # after the book was opened; by then everything heavy was imported


class LogbookApp(PagesApp):
    """The program on the screen.

    source -- makes or opens the book; the first frame is drawn before it is asked.
    desk -- holds the sky and the clock; tests put stand-ins there.
    when_settled -- called once, in a thread, when all that the program works with has been made.
    """

    def __init__(
        self,
        source: BookSource,
        desk: Desk,
        *,
        red: bool = False,
        when_settled: Callable[[], None] = lambda: None,
    ) -> None:
        super().__init__(desk, red=red)
        self.when_settled = when_settled
        self.source = source
        self._code_on_leaving = 0
        self._clock_watch = ClockWatch(desk.clock)
        self._watch: Watch | None = None
        self._window: Window | None = None
        self._left_s: float | None = None  # when the program was left, on the monotonic clock
        self._form_drafts: FormDrafts | None = None  # None while there is no book
        self._copies_refused: set[Path] = set()  # damaged since they were made
        self._jobs_under_way = 0
        self._said_held = ""  # the key that was reported to wait for the book

    # --- opening ---

    def on_mount(self) -> None:
        self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        """After the first frame: open the book, or ask for a site and a train first."""
        self.query_one(EntryBar).take_keys()
        self.make_page_ahead("choose")
        if self.source.is_first_start():
            self.ask_first_run()
        else:
            self.open_book()
        self.read_catalogue()

    def ask_first_run(self) -> None:
        """No book yet: ask for a site and a train, or offer the demo season."""
        from logbook.screen.app.first_run import FirstRun

        self.push_screen(FirstRun(self.source), self._first_run_answered)

    def _first_run_answered(self, source: BookSource | None) -> None:
        if source is not None:
            self.source = source
        self.open_book()

    @work(thread=True, exclusive=True, exit_on_error=False, group="book")
    def open_book(self) -> None:
        try:
            from logbook.store.file.window import Window

            self._window = self._window or Window()
            self.post_message(_open_and_read(self.source, self._window))
        except LogbookError as error:
            self.post_message(BookRefusedWords(str(error), error.exit_code))
        except Exception as error:  # whatever it is, the book will not come
            words = self.source.damage() or failure_words(error)
            self.post_message(BookRefusedWords(words, BookRefused.exit_code))

    @work(thread=True, exclusive=True, exit_on_error=False, group="catalogue")
    def read_catalogue(self) -> None:
        """What the entry line needs: its grammar and the names of the sky."""
        import logbook.screen.services.understand_line  # noqa: F401 (imported here, so that typing never waits)

        try:
            self.desk.sky.load()
        finally:  # lines wait for it: without it they are read as well as they can be
            self.post_message(CatalogueReady())

    @on(BookOpened)
    def _book_opened(self, event: BookOpened) -> None:
        from logbook.store.writer import DraftKeeper

        assert self._window is not None
        desk = self.desk
        desk.book, desk.writer, desk.view = event.book, event.writer, event.view
        desk.drafts = DraftKeeper(event.writer, self._window.name, report=self._report_drafts)
        self._form_drafts = FormDrafts(desk.drafts)
        self._watch = event.book.watch()
        self.learn()
        self.query_one(EntryBar).book_opened(event.left or ())
        if event.left is None:
            self._take_over_later()
        self.redraw()
        self.work_out_sky()
        self._clock_watch.look()
        self.set_interval(SKY_EVERY_S, self._tick)
        self.set_interval(BOOK_EVERY_S, self.look_at_book)
        self.set_timer(SETTLED_S, self.count_ahead)
        self.show_pages("night" if event.view.night is not None else "choose")
        self._ask_what_is_missing()
        self.check_book()

    def _take_over_later(self) -> None:
        """Another program writes: look again for what was left."""
        self.set_timer(TAKE_OVER_AGAIN_S, self.take_over)

    def take_over(self) -> None:
        assert self.desk.drafts is not None
        with suppress(NotWritten):  # the program is being left
            future = self.desk.drafts.take_over(DRAFT_PLACE)
            future.add_done_callback(lambda done: self.call_later(self._taken_over, done))

    def _taken_over(self, future: "Future[tuple[str, ...] | None]") -> None:
        error = future.exception()
        if error is not None:
            self.post_message(JobFailed(failure_words(error)))
            return
        left = future.result()
        if left is None:
            self._take_over_later()
        elif left:
            self.query_one(EntryBar).add_waiting(left)

    def _ask_what_is_missing(self) -> None:
        """A book without any part was left half made: ask for what the first start asks for.

        Not in the middle of a night, where what is typed at once belongs on the line.
        """
        from logbook.screen.app.first_run import FirstKit

        view = self.desk.view
        if view.night is not None:
            return
        if not view.parts and not view.trains:
            self.push_screen(FirstKit(with_site=not view.sites), self._form_answered)
        elif not view.sites:
            self.action_new_site()

    @work(thread=True, exclusive=True, exit_on_error=False, group="watch")
    def look_at_book(self) -> None:
        """See what another program saved; costs some microseconds where there is nothing."""
        book, watch = self.desk.book, self._watch
        if book is None or watch is None or not watch.changed():
            return
        try:
            view = read_view(book)
        except LogbookError:  # the next thing saved says what is wrong
            return
        self.post_message(BookChanged(book, view))

    @work(thread=True, exclusive=True, exit_on_error=False, group="ahead")
    def count_ahead(self) -> None:
        """While nothing is asked, count what the pages over twenty years would wait for."""
        from logbook.report.registry import count_ahead

        book = self.desk.book
        with suppress(LogbookError):  # the next thing asked for says what is wrong
            if book is not None:
                count_ahead(book)
        self.when_settled()

    @on(BookChanged)
    def _book_changed(self, event: BookChanged) -> None:
        if event.book is not self.desk.book or event.view.mark < self.desk.view.mark:
            return  # read before what is shown by now was saved
        if event.view != self.desk.view:
            self._show_view(event.view)

    @work(thread=True, exclusive=True, exit_on_error=False, group="check")
    def check_book(self) -> None:
        """Read the whole file once in the background: damage is to be known at once."""
        book = self.desk.book
        words = book.whole_check() if book is not None else ""
        if words:
            self.call_later(self.query_one(EntryBar).warn, words)

    @on(BookRefusedWords)
    def _book_refused(self, event: BookRefusedWords) -> None:
        from logbook.screen.app.book_error import Refused

        self._code_on_leaving = event.exit_code
        self.forget_typed_ahead()
        copy = self.source.newest_copy(self._copies_refused)
        is_missing = self.source.is_missing()
        refused = Refused(event.words, copy, is_missing=is_missing)
        self.push_screen(refused, lambda what: self._refused_answered(what, copy))

    def _refused_answered(self, what: str | None, copy: "Copy | None") -> None:
        """After a refusal: a copy, a new book, the demo season, or another try."""
        self._code_on_leaving = 0
        if what == "copy" and copy is not None:
            self.put_back(copy)
            return
        if what == "new":
            self.ask_first_run()
            return
        if what == "demo":
            self.source = self.source.as_demo(Path(tempfile.mkdtemp(prefix="observing-logbook-")))
        self.open_book()

    @work(thread=True, exclusive=True, exit_on_error=False, group="book")
    def put_back(self, copy: "Copy") -> None:
        """Put a copy in the place of a book that is not there or cannot be opened."""
        try:
            words = self.source.put_back(copy)
        except LogbookError as error:
            self._copies_refused.add(copy.path)
            self.post_message(BookRefusedWords(str(error), error.exit_code))
            return
        self.call_later(self._was_put_back, words)

    def _was_put_back(self, words: str) -> None:
        self.query_one(EntryBar).warn(words)
        self.open_book()

    @on(CatalogueReady)
    def _catalogue_ready(self) -> None:
        self.desk.knows_objects = True
        for bar in self.query(EntryBar):  # none is left while the program is left
            bar.objects_known()

    @work(thread=True, exclusive=True, exit_on_error=False, group="lessons")
    def learn(self) -> None:
        """See what the readings say now: for the reminders."""
        book, night, worker = self.desk.book, self.desk.view.night, get_current_worker()
        try:
            lessons = read_lessons(book, night.id) if book and night else Lessons()
        except LogbookError:  # the next thing saved says what is wrong
            return
        if not worker.is_cancelled:
            self.post_message(LessonsReady(lessons))

    @on(LessonsReady)
    def _lessons_ready(self, event: LessonsReady) -> None:
        self.desk.lessons = event.lessons
        for page in self.finished_pages():
            page.redraw_sky()

    def _tick(self) -> None:
        """Once a minute: the clock on the strip; at noon the night is another one."""
        tonight = self.desk.tonight
        if tonight is not None and tonight.night.local_date != self.desk.chosen_date:
            self.work_out_sky()
        words = self._clock_watch.look()
        if words:
            self.query_one(EntryBar).say(words, bold=True)
        for strip in self.query(NightStrip):  # none while the program is being left
            strip.redraw()

    # --- keeping ---

    @on(EntryBar.Typed)
    def _typed(self, event: EntryBar.Typed) -> None:
        if self.desk.drafts is not None:
            self.desk.drafts.put(DRAFT_PLACE, event.drafts)

    def form_draft(self, place: str) -> "BookDraft | None":
        """The draft of a form; None while there is no book."""
        return None if self._form_drafts is None else self._form_drafts.of(place)

    def now(self) -> datetime:
        return self.desk.clock()

    def when_words(self, instant: datetime | None) -> str:
        if instant is None:
            return ""
        then, now = self.desk.local(instant), self.desk.local(self.desk.clock())
        day = "" if then.date() == now.date() else f" on {then.day} {then:%B}"
        nights = (night_date(now, self.desk.zone) - night_date(then, self.desk.zone)).days
        ago = f", {nights} night{'' if nights == 1 else 's'} ago" if nights else ""
        return f"{day} at {then:%H:%M}{ago}"

    def say_left(self, words: str) -> None:
        self.query_one(EntryBar).say(words)

    def warn(self, words: str) -> None:
        """Say something that stays until it is dismissed."""
        self.query_one(EntryBar).warn(words)

    def _report_drafts(self, failed: Exception | None) -> None:
        """In the writer's thread: have it shown that what is typed is not on disk, or is again."""
        self.call_later(self._show_draft_failure, "" if failed is None else failure_words(failed))

    def _show_draft_failure(self, why: str) -> None:
        self.query_one(EntryBar).show_draft_failure(why)

    @on(EntryBar.Entered)
    def _entered(self, event: EntryBar.Entered) -> None:
        from logbook.store.timeline.drafts import TypedLine

        assert self.desk.drafts is not None
        assert self._window is not None
        self.desk.drafts.sent(DRAFT_PLACE, event.line.draft, event.rest)
        typed = event.line.text
        line = TypedLine(self._window.name, DRAFT_PLACE, typed)
        job = jobs.keep_understood(event.understood, line)
        self.post_message(JobWanted(job, typed=typed))

    @on(EntryBar.Left)
    def _left(self) -> None:
        page = self.page_in_view()
        if page is not None:
            page.leave_line()

    @on(NightEntriesWanted)
    def _night_entries_wanted(self, event: NightEntriesWanted) -> None:
        from logbook.screen.pages.past.entries import NightEntries

        self.push_screen(NightEntries(self.desk, event.night_id, event.entry_id))

    @on(JobWanted)
    def _job_wanted(self, event: JobWanted) -> None:
        book, writer = self.desk.book, self.desk.writer
        if book is None or writer is None:
            words = "Not saved: the book is not open yet. The line is still here."
            self.post_message(JobFailed(words, event.typed))
            return
        future = writer.submit(self._save, book, event.job, event.typed)
        self._jobs_under_way += 1
        future.add_done_callback(lambda done: self._job_ended(done, event.typed))
        future.add_done_callback(lambda _: self.call_later(self._job_was_reported))

    def _save(self, book: "Book", job: Job, typed: str | None) -> Done:
        """In the writer's thread, so that no draft is put between an entry and its draft's end."""
        done = run_job(book, job)
        if self.desk.drafts is not None and typed is not None:
            self.desk.drafts.saved(DRAFT_PLACE)
        return done

    def _job_ended(self, future: "Future[Done]", typed: str | None) -> None:
        """In any thread: pass on what became of a job."""
        error = future.exception()
        if error is None:
            self.post_message(JobDone(future.result(), typed))
            return
        words = failure_words(error)
        if not isinstance(error, LogbookError):
            words = f"Not saved: {words}"
        self.post_message(JobFailed(words, typed))

    def _job_was_reported(self) -> None:
        """After the words of a job: keys that waited for what it did may go on."""
        self._jobs_under_way -= 1

    @on(JobDone)
    def _job_done(self, event: JobDone) -> None:
        if event.done.asks is not None:
            self._ask_to_take_back(event.done.asks)
            return
        if event.done.view is not None:
            self._show_view(event.done.view)  # first: a line that waits is understood by it
        self.query_one(EntryBar).kept(event.done.words, event.typed)
        for sheet in self.live_sheets():
            sheet.written(event.done.words)
        if event.done.follow_up is not None:
            self.follow_up(event.done.follow_up)

    @work(thread=True, exit_on_error=False, group="follow up")
    def follow_up(self, what: FollowUp) -> None:
        """Do what follows a job, beside whatever is saved meanwhile."""
        try:
            words = what(self._goes_on)
        except Exception as error:  # what was saved is saved
            words = failure_words(error)
        self.call_later(self._say_more, words)

    def _goes_on(self) -> bool:
        """Whether there is time for what follows a job: a while still when the program is left."""
        return self._left_s is None or time.monotonic() < self._left_s + FOLLOW_UP_S

    def _say_more(self, words: str) -> None:
        for bar in self.query(EntryBar):  # none is left while the program is left
            bar.say_more(words)

    def _show_view(self, view: BookView) -> None:
        before, self.desk.view = self.desk.view, view
        self.redraw()
        if view.timeline != before.timeline:
            self.learn()
        if (before.night is None) != (self.desk.view.night is None):
            self.action_turn_to("night")  # begun: the user types at once; ended: it is announced
        if (before.site, before.train) != (self.desk.view.site, self.desk.view.train):
            self.work_out_sky()

    @on(JobFailed)
    def _job_failed(self, event: JobFailed) -> None:
        bar = self.query_one(EntryBar)
        bar.not_kept(event.words, event.typed)
        if self.desk.drafts is not None and event.typed is not None:
            self.desk.drafts.returned(DRAFT_PLACE, bar.unkept)
        for sheet in self.live_sheets():
            sheet.say(event.words)

    # --- keys ---

    def key_is_held(self, key: TypedKey) -> bool:
        """Until a page is there, the book for keys that need it, and the job that they follow."""
        name = key.key if isinstance(key, Key) else ""
        on_line = isinstance(self.focused, EntryInput) and not acts_anywhere(name)
        if len(self.screen_stack) == 1 and not on_line and not self.finished_pages():
            return True
        if name in _NEED_THE_BOOK and self._book_is_coming():
            self._say_held(name)
            return True
        return self._jobs_under_way > 0 and not on_line

    def _say_held(self, name: str) -> None:
        """Say once that a key will come to its turn."""
        if self._said_held != name:
            self._said_held = name
            words = f"The book is being opened; {_NEED_THE_BOOK[name]} follows."
            self.query_one(EntryBar).say(words, bold=True)

    def longest_wait_s(self) -> float:
        return _LONGEST_OPENING_S if self._book_is_coming() else super().longest_wait_s()

    def _book_is_coming(self) -> bool:
        return self.desk.book is None and len(self.screen_stack) == 1

    def action_red_view(self) -> None:
        """Switch the red night view, for this book from now on; every line is drawn anew."""
        red = self._red_filter.enabled = not self._red_filter.enabled
        if self.desk.book is not None:
            self.post_message(JobWanted(jobs.choose("view", "red" if red else "day")))
        self.screen.refresh(layout=True)
        self.refresh(layout=True)

    def action_undo(self) -> None:
        self.post_message(JobWanted(jobs.take_back_last))

    def _ask_to_take_back(self, step: "Step") -> None:
        """What another run of the program saved, perhaps long ago, is taken back only if wanted."""

        def answered(yes: bool | None) -> None:
            if yes:
                self.post_message(JobWanted(jobs.take_back(step)))

        day = self.desk.local(step.made_utc)
        what = jobs.first_clause(step.words)
        words = f"The last thing saved was “{what}”, on {day:%-d %b %Y}. Take it back?"
        self.push_screen(Question(words, "take it back", "y"), answered)

    def action_redo(self) -> None:
        self.post_message(JobWanted(jobs.do_again))

    def action_type_entry(self) -> None:
        self.query_one(EntryBar).take_keys()

    def action_entry_form(self) -> None:
        from logbook.screen.pages.night.entry_form import EntryForm

        if self.desk.book is not None:
            self.push_screen(EntryForm(self.desk), self._form_answered)

    def action_start_or_end_night(self) -> None:
        from logbook.screen.pages.night.night_form import EndNight, StartNight

        if self.desk.book is None:
            self.query_one(EntryBar).say("The book is not open yet.", bold=True)
            return
        form = StartNight(self.desk) if self.desk.view.night is None else EndNight(self.desk)
        self.push_screen(form, self._form_answered)

    def action_new_site(self) -> None:
        from logbook.screen.dialogs.site_form import NewSite

        self.push_screen(NewSite(self.desk.taken_names("site")), self._form_answered)

    def _form_answered(self, job: Job | None) -> None:
        if job is not None:
            self.post_message(JobWanted(job))

    # --- the end ---

    def on_unmount(self) -> None:
        if self._watch is not None:
            self._watch.close()
        self._left_s = time.monotonic()
        if self.desk.drafts is not None:
            self.desk.drafts.put_now()
        self._close_window()

    def _close_window(self) -> None:
        """After all that the writer still has to do: till then what is typed is this window's."""
        if self._window is None:
            return
        if self.desk.writer is None:
            self._window.close()
        else:
            try:
                self.desk.writer.when_idle(self._window.close)
            except NotWritten:  # the writer is closed already
                self._window.close()

    async def action_quit(self) -> None:
        """Leave. A book that was refused and never opened shows in the exit code."""
        self.exit(return_code=self._code_on_leaving)


def _open_and_read(source: BookSource, window: "Window") -> BookOpened:
    """The book, its writer and what the pages show. A book that cannot be read is closed."""
    from logbook.store.writer import Writer

    book = source.open()
    try:
        left, view = _left_half_typed(book, window), read_view(book)
    except BaseException:
        book.close()
        raise
    return BookOpened(book, Writer(book), view, left)


def _left_half_typed(book: "Book", window: "Window") -> tuple[str, ...] | None:
    """What was half typed in windows that have ended; None while another program writes."""
    try:
        return book.drafts.take_over(DRAFT_PLACE, window.name)
    except NotWritten:
        return None
