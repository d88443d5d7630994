"""Frames from disk on the Night page: adding what was shown, and a line that watches a folder.

Reading and planning run in worker threads; what writes goes run by run through the book's writer,
so that a line being typed is saved as a draft in between.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future
from pathlib import Path
from typing import TYPE_CHECKING

from rich.text import Text
from textual import on, work
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Static
from textual.worker import Worker

from logbook.errors import LogbookError
from logbook.frames.folder_watch import FolderWatch
from logbook.report.words.frames_words import added_words, kept_words
from logbook.screen.services.book_snapshot import BookView, read_view
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.messages import JobDone, RedrawWanted
from logbook.screen.services.run_job import read_again
from logbook.screen.services.services import Desk

if TYPE_CHECKING:
    from logbook.commands.frames import Looking
    from logbook.store.frames.add import Added
    from logbook.store.frames.plan import Plan, PlannedRun, Wish

LOOK_EVERY_S = 1.0
FOLDER_CHOICE = "frames folder"


class FrameLine(TellsFailures, Static):
    """One line: what is being added, or which folder is watched and what came in last."""

    DEFAULT_CSS = """
    FrameLine { height: auto; max-height: 2; display: none; text-style: bold; }
    FrameLine { text-wrap: nowrap; text-overflow: ellipsis; }
    FrameLine.-busy { display: block; }
    """

    class Said(Message):
        """What a worker has to report."""

        def __init__(self, words: str) -> None:
            super().__init__()
            self.words = words

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002 (Textual's own name for it)
        super().__init__(id=id, markup=False)
        self._desk = desk
        self._looking: Looking | None = None
        self._look: Worker[None] | None = None
        self._timer: Timer | None = None
        self._came = 0
        self._in = ""  # what came in
        self._said = ""  # what a worker reported last

    @property
    def watched(self) -> Path | None:
        """The folder that is watched; None if none is."""
        return self._looking.watch.folder if self._looking else None

    @on(Said)
    def _told(self, event: Said) -> None:
        event.stop()
        self._said = event.words
        self._draw()

    def _draw(self) -> None:
        """What is watched and came in; below it the last remark, such as a disagreement."""
        watched = self.watched
        head = f"Watching {watched.name or watched}: {self._in}" if watched else ""
        lines = [words for words in (head, self._said) if words]
        self.update(Text("\n".join(lines)))
        self.set_class(bool(lines), "-busy")

    # --- adding what was shown ---

    @work(thread=True, exit_on_error=False, group="frames-adding")
    def add(self, plan: Plan) -> None:
        """Keep every run of a plan, then draw the book anew."""
        book, writer = self._desk.book, self._desk.writer
        assert book is not None
        assert writer is not None
        kept: list[Added] = []
        words = ""
        for number, planned in enumerate(plan.to_add, start=1):
            self.post_message(self.Said(f"adding run {number} of {len(plan.to_add)}"))
            try:
                added = self._keep(planned)
            except LogbookError as error:
                words = f" Left out a run: {error}"
                continue
            if added is not None:
                kept.append(added)
        self.post_message(self.Said(""))
        done = writer.submit(read_again, book, f"{kept_words(kept)}.{words}").result()
        self.app.post_message(JobDone(done, None))

    def _keep(self, planned: PlannedRun) -> Added | None:
        """In a worker: have the writer keep a run and wait until it is on disk."""
        book, writer = self._desk.book, self._desk.writer
        assert book is not None
        assert writer is not None
        return writer.submit(book.frame_files.add, planned).result()

    # --- watching ---

    def start(self, folder: Path, wish: Wish) -> None:
        """Watch a folder from now on; what lies in it is added too."""
        from logbook.commands.frames import Looking

        self.stop()
        self._looking = Looking(FolderWatch(folder), wish, self._keep, self._from_worker)
        self._came, self._in, self._said = 0, "nothing came in yet", ""
        self._draw()
        self._timer = self.set_interval(LOOK_EVERY_S, self._look_again)

    def stop(self) -> None:
        """Watch no longer; a look that has begun is finished."""
        if self._timer is not None:
            self._timer.stop()
        self._timer = self._looking = None
        self._said = ""
        self._draw()

    def _from_worker(self, words: str) -> None:
        self.post_message(self.Said(words))

    def _look_again(self) -> None:
        """A slow disk is not asked again before it has answered."""
        if self._looking is None or (self._look is not None and not self._look.is_finished):
            return
        self._look = self._look_once(self._looking)

    @work(thread=True, exit_on_error=False, group="frames-watching")
    def _look_once(self, looking: Looking) -> None:
        book, writer = self._desk.book, self._desk.writer
        if book is None or writer is None:
            return
        try:
            kept = looking.look(book)
        except LogbookError as error:
            self.post_message(self.Said(str(error)))
            return
        if kept:
            future = writer.submit(read_view, book)
            future.add_done_callback(lambda done: self._read_anew(done, kept))

    def _read_anew(self, future: Future[BookView], kept: Sequence[Added]) -> None:
        """In the writer's thread: hand the book as it is now to the app, in the writer's order."""
        if future.exception() is None:
            self.app.call_later(self._came_in, future.result(), kept)

    def _came_in(self, view: BookView, kept: Sequence[Added]) -> None:
        """Draw the new entries; what is being typed and shown of it is left alone."""
        self._came += sum(each.new for each in kept)
        self._desk.view = view
        self.post_message(RedrawWanted())
        at = self._desk.clock_words(self._desk.clock())
        self._in = f"{self._came} in, the last at {at}: {added_words(kept[-1])}"
        self._draw()
