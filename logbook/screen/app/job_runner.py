"""Jobs that the screen wants done: each goes to the writer, and what became of it is shown."""

import time
from concurrent.futures import Future
from functools import partial
from typing import TYPE_CHECKING

from textual.app import App

from logbook.crash_log import failure_words
from logbook.errors import LogbookError
from logbook.screen.app.book_follower import BookFollower
from logbook.screen.app.pages import Pages
from logbook.screen.services import jobs
from logbook.screen.services.messages import JobDone, JobFailed, JobWanted
from logbook.screen.services.run_job import Done, FollowUp, Job, run_job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import DRAFT_PLACE, EntryBar
from logbook.screen.widgets.question import Question

if TYPE_CHECKING:
    from logbook.store.book import Book
    from logbook.store.undo.take_back import Step

FOLLOW_UP_S = 10.0  # how long leaving waits for what follows a job


class JobRunner:
    """Hands each job to the book's one writer; "logged" is shown only when that has it on disk."""

    def __init__(self, app: App[int], desk: Desk, pages: Pages, follower: BookFollower) -> None:
        self._app = app
        self._desk = desk
        self._pages = pages
        self._follower = follower
        self._under_way = 0
        self._left_s: float | None = None  # when the program was left, on the monotonic clock

    @property
    def is_busy(self) -> bool:
        """Whether a job is under way, or what became of it is not shown yet."""
        return self._under_way > 0

    def want(self, wanted: JobWanted) -> None:
        book, writer = self._desk.book, self._desk.writer
        if book is None or writer is None:
            words = "Not saved: the book is not open yet. The line is still here."
            self._app.post_message(JobFailed(words, wanted.typed))
            return
        future = writer.submit(self._save, book, wanted.job, wanted.typed)
        self._under_way += 1
        future.add_done_callback(lambda done: self._ended(done, wanted.typed))
        future.add_done_callback(lambda _: self._app.call_later(self._was_reported))

    def _save(self, book: "Book", job: Job, typed: str | None) -> Done:
        """In the writer's thread, so that no draft is put between an entry and its draft's end."""
        done = run_job(book, job)
        if self._desk.drafts is not None and typed is not None:
            self._desk.drafts.saved(DRAFT_PLACE)
        return done

    def _ended(self, future: "Future[Done]", typed: str | None) -> None:
        """In any thread: pass on what became of a job."""
        error = future.exception()
        if error is None:
            self._app.post_message(JobDone(future.result(), typed))
            return
        words = failure_words(error)
        if not isinstance(error, LogbookError):
            words = f"Not saved: {words}"
        self._app.post_message(JobFailed(words, typed))

    def _was_reported(self) -> None:
        """After the words of a job: keys that waited for what it did may go on."""
        self._under_way -= 1

    def done(self, event: JobDone) -> None:
        if event.done.asks is not None:
            self._ask_to_take_back(event.done.asks)
            return
        if event.done.view is not None:
            self._follower.show(event.done.view)  # first: a line that waits is understood by it
        self._app.query_one(EntryBar).kept(event.done.words, event.typed)
        for sheet in self._pages.live_sheets():
            sheet.say(event.done.words)
        if event.done.follow_up is not None:
            work = partial(self._follow_up, event.done.follow_up)
            self._app.run_worker(work, thread=True, exit_on_error=False, group="follow up")

    def failed(self, event: JobFailed) -> None:
        bar = self._app.query_one(EntryBar)
        bar.not_kept(event.words, event.typed)
        if self._desk.drafts is not None and event.typed is not None:
            self._desk.drafts.returned(DRAFT_PLACE, bar.unkept)
        for sheet in self._pages.live_sheets():
            sheet.say(event.words)

    def _ask_to_take_back(self, step: "Step") -> None:
        """What another run of the program saved, perhaps long ago, is taken back only if wanted."""

        def answered(yes: bool | None) -> None:
            if yes:
                self._app.post_message(JobWanted(jobs.take_back(step)))

        day = self._desk.local(step.made_utc)
        what = jobs.first_clause(step.words)
        words = f"The last thing saved was “{what}”, on {day:%-d %b %Y}. Take it back?"
        self._app.push_screen(Question(words, "take it back", "y"), answered)

    # --- what follows a job ---

    def _follow_up(self, what: FollowUp) -> None:
        """Do what follows a job, beside whatever is saved meanwhile."""
        try:
            words = what(self._goes_on)
        except Exception as error:  # what was saved is saved
            words = failure_words(error)
        self._app.call_later(self._say_more, words)

    def _goes_on(self) -> bool:
        """Whether there is time for what follows a job: a while still when the program is left."""
        return self._left_s is None or time.monotonic() < self._left_s + FOLLOW_UP_S

    def _say_more(self, words: str) -> None:
        for bar in self._app.query(EntryBar):  # none is left while the program is left
            bar.say_more(words)

    def leave(self) -> None:
        """The program is being left."""
        self._left_s = time.monotonic()
