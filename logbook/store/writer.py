"""One thread that keeps things, so that the screen never waits for the disk.

What is submitted is done in order; its future is done only after the book has it on disk. The
thread is a daemon: a program that ends does not wait for it, and nothing acknowledged depends on
its end.
"""

import threading
from collections.abc import Callable
from concurrent.futures import Future
from queue import SimpleQueue
from typing import ParamSpec, TypeVar

from logbook.errors import NotWritten
from logbook.store.book import Book
from logbook.store.typed import is_draft_of

P = ParamSpec("P")
T = TypeVar("T")

# Half of what may be lost; the other half is for the disk.
DRAFT_WAIT_S = 0.15


class Writer:
    """Submit what writes in a book: `writer.submit(book.timeline.keep, night_id, entry)`."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._jobs: SimpleQueue[Callable[[], None] | None] = SimpleQueue()
        self._closed = False
        self._thread = threading.Thread(target=self._work, name="book writer", daemon=True)
        self._thread.start()

    def submit(self, job: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> "Future[T]":
        """A future of what `job` returns or raises, done when the book has it on disk."""
        if self._closed:
            raise NotWritten("Not written: the book is being closed. What was typed is still here.")
        future: Future[T] = Future()
        self._jobs.put(lambda: _do(future, lambda: job(*args, **kwargs)))
        return future

    def close(self, wait_s: float = 10.0) -> bool:
        """Do what was submitted and end the thread; False if that took longer than `wait_s`."""
        self._closed = True
        self._jobs.put(None)
        self._thread.join(wait_s)
        return not self._thread.is_alive()

    def _work(self) -> None:
        while (job := self._jobs.get()) is not None:
            job()


def _do(future: "Future[T]", job: Callable[[], T]) -> None:
    if not future.set_running_or_notify_cancel():
        return
    try:
        result = job()
    except BaseException as error:
        future.set_exception(error)
    else:
        future.set_result(result)


class DraftKeeper:
    """Keeps what is being typed in one place of the screen, at most 0.3 s behind.

    A timer is started by the first key and never started again by the next ones, so that steady
    typing cannot put off the keeping. Call `typed` at every change, from any thread.
    """

    def __init__(self, writer: Writer, slot: str, *, wait_s: float = DRAFT_WAIT_S) -> None:
        self._writer = writer
        self._slot = slot
        self._wait_s = wait_s
        self._lock = threading.Lock()
        self._text: str | None = None
        self._timer: threading.Timer | None = None
        self.failed: BaseException | None = None  # why the last draft could not be kept

    def typed(self, text: str) -> None:
        """Note what the place holds now."""
        with self._lock:
            self._text = text
            if self._timer is None:
                self._timer = threading.Timer(self._wait_s, self._due)
                self._timer.daemon = True
                self._timer.start()

    def kept(self, line: str) -> None:
        """Drop what was an entry's text all along. Call it in the writer's thread."""
        with self._lock:
            if self._text is not None and is_draft_of(self._text, line):
                self._text = None

    def _due(self) -> None:
        with self._lock:
            self._timer = None
        try:
            self._writer.submit(self._put)
        except NotWritten as error:
            self.failed = error

    def _put(self) -> None:
        """Put the newest text, which may be newer than when the timer ran out."""
        with self._lock:
            text, self._text = self._text, None
        if text is None:
            return
        try:
            self._writer.book.drafts.put(self._slot, text)
            self.failed = None
        except NotWritten as error:
            self.failed = error
