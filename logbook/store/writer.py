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
from logbook.text import as_one_line

P = ParamSpec("P")
T = TypeVar("T")

# A third of what may be lost; the rest is for a busy machine and its disk.
DRAFT_WAIT_S = 0.1


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
            raise NotWritten("Not saved: the book is being closed. What was typed is still here.")
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
    typing cannot put off the keeping. A line on its way to the disk stays in the draft until it is
    an entry, so that at no instant it is in neither. Any thread may call.
    """

    def __init__(self, writer: Writer, slot: str, *, wait_s: float = DRAFT_WAIT_S) -> None:
        self._writer = writer
        self._slot = slot
        self._wait_s = wait_s
        self._lock = threading.Lock()
        self._sent = ""
        self._text = ""
        self._changed = False
        self._timer: threading.Timer | None = None
        self.failed: BaseException | None = None  # why the last draft could not be kept

    def typed(self, text: str) -> None:
        """Note what the place holds now, besides a line on its way."""
        with self._lock:
            self._note(self._sent, text)

    def sent(self, line: str, text: str) -> None:
        """Note that a line is on its way to the disk, and what the place holds besides."""
        with self._lock:
            self._note(line, text)

    def returned(self, text: str) -> None:
        """Note that the line could not be kept, and what the place holds now, with it."""
        with self._lock:
            self._note("", text)

    def kept(self) -> None:
        """Note that the line is an entry. Call it in the writer's thread, where drafts are put."""
        with self._lock:
            self._sent = ""

    def _note(self, sent: str, text: str) -> None:
        self._sent, self._text, self._changed = sent, text, True
        if self._timer is None:
            self._timer = threading.Timer(self._wait_s, self._due)
            self._timer.daemon = True
            self._timer.start()

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
            text = as_one_line(self._sent, self._text)
            changed, self._changed = self._changed, False
        if not changed:
            return
        try:
            self._writer.book.drafts.put(self._slot, text)
            self.failed = None
        except NotWritten as error:
            self.failed = error
