"""One thread that keeps things, so that the screen never waits for the disk.

What is submitted is done in order; its future is done only after the book has it on disk. The
thread is a daemon: a program that ends does not wait for it, and nothing acknowledged depends on
its end.
"""

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import count
from queue import PriorityQueue
from typing import ParamSpec, TypeVar

from logbook.errors import NotWritten
from logbook.store.book import Book

P = ParamSpec("P")
T = TypeVar("T")

# A third of what may be lost; the rest is for a busy machine and its disk.
DRAFT_WAIT_S = 0.1
RETRY_S = 0.5

_IN_TURN, _WHEN_IDLE, _LAST = range(3)


class Writer:
    """Submit what writes in a book: `writer.submit(book.timeline.keep, night_id, entry)`."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._jobs: PriorityQueue[tuple[int, int, Callable[[], None] | None]] = PriorityQueue()
        self._numbers = count()
        self._closed = False
        self._thread = threading.Thread(target=self._work, name="book writer", daemon=True)
        self._thread.start()

    def submit(self, job: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> "Future[T]":
        """A future of what `job` returns or raises, done when the book has it on disk."""
        return self._submit(_IN_TURN, lambda: job(*args, **kwargs))

    def when_idle(self, job: Callable[[], T]) -> "Future[T]":
        """The same, but only once nothing waits that was submitted, however late that was."""
        return self._submit(_WHEN_IDLE, job)

    def _submit(self, turn: int, job: Callable[[], T]) -> "Future[T]":
        if self._closed:
            raise NotWritten("Not saved: the book is being closed. What was typed is still here.")
        future: Future[T] = Future()
        self._jobs.put((turn, next(self._numbers), lambda: _do(future, job)))
        return future

    def close(self, wait_s: float = 10.0) -> bool:
        """Do what was submitted and end the thread; False if that took longer than `wait_s`."""
        self._closed = True
        self._jobs.put((_LAST, next(self._numbers), None))
        self._thread.join(wait_s)
        return not self._thread.is_alive()

    def _work(self) -> None:
        while (job := self._jobs.get()[2]) is not None:
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


@dataclass(frozen=True, slots=True)
class _Place:
    """What one place of the screen holds: a line on its way to the disk, and the lines after it.

    late -- lines that were taken over and that the screen does not hold yet.
    """

    sent: str = ""
    lines: tuple[str, ...] = ()
    late: tuple[str, ...] = ()

    @property
    def all(self) -> tuple[str, ...]:
        return (*((self.sent,) if self.sent else ()), *self.lines, *self.late)


class DraftKeeper:
    """Keeps what is being typed in one window of the program, at most 0.3 s behind.

    A timer is started by the first key and never started again by the next ones, so that steady
    typing cannot put off the saving. What cannot be saved is tried again, and never before an entry
    that waits. A line on its way to the disk stays a draft until it is an entry, so that at no
    instant it is in neither. Any thread may call.

    report -- called in the writer's thread with why drafts cannot be saved, and None once they are.
    """

    def __init__(
        self,
        writer: Writer,
        window: str,
        *,
        wait_s: float = DRAFT_WAIT_S,
        report: Callable[[Exception | None], None] = lambda _: None,
    ) -> None:
        self._writer = writer
        self._window = window
        self._wait_s = wait_s
        self._report = report
        self._lock = threading.Lock()
        self._places: dict[str, _Place] = {}
        self._changed: set[str] = set()
        self._ended: dict[str, tuple[str, ...]] = {}  # windows whose drafts are still to be moved
        self._timer: threading.Timer | None = None
        self.failed: Exception | None = None  # why the last drafts could not be saved

    def put(self, place: str, lines: Sequence[str]) -> None:
        """Note what a place holds now, besides a line on its way."""
        with self._lock:
            if lines or place in self._places:
                self._note(place, self._at(place).sent, lines)

    def held(self, place: str) -> tuple[str, ...]:
        """What a place holds: noted in this window, else left by windows that have ended.

        What those left is this window's as soon as the next drafts are put. Raises LogbookError.
        """
        with self._lock:
            noted = self._places.get(place)
        if noted is not None:
            return noted.all
        left = self._writer.book.drafts.reachable(self._window, place)
        ended = tuple(name for name in left if name != self._window)
        lines = tuple(line for lines in left.values() for line in lines)
        with self._lock:
            if ended:
                self._ended[place] = ended
                self._note(place, "", lines)
        return lines

    def clear(self, place: str) -> None:
        """Note that a place holds nothing any more."""
        self.put(place, ())

    def put_in_job(self, place: str, lines: Sequence[str]) -> None:
        """Leave only these lines at a place, in the transaction of what saves the others.

        They are noted only once it is on disk: with `put`, or with `forget` if there are none.
        """
        ended = self._ended.get(place, ())
        self._writer.book.drafts.put(self._window, place, lines, instead_of=ended)

    def forget(self, place: str) -> None:
        """Note that what saved it has emptied the place. Call it in the writer's thread."""
        with self._lock:
            self._places.pop(place, None)
            self._changed.discard(place)
            self._ended.pop(place, None)

    def sent(self, place: str, line: str, lines: Sequence[str]) -> None:
        """Note that a line is on its way to the disk, and what its place holds besides."""
        with self._lock:
            self._note(place, line, lines)

    def returned(self, place: str, lines: Sequence[str]) -> None:
        """Note that the line could not be saved, and what its place holds now, with it."""
        with self._lock:
            self._note(place, "", lines)

    def saved(self, place: str) -> None:
        """Note that the line is an entry. Call it in the writer's thread, where drafts are put."""
        with self._lock:
            self._places[place] = replace(self._at(place), sent="")

    def take_over(self, place: str) -> "Future[tuple[str, ...] | None]":
        """Have what ended windows left at a place taken over, between two puts of drafts.

        They are drafts of this window from then on. None while another program writes.
        """
        return self._writer.submit(self._take_over, place)

    def _take_over(self, place: str) -> tuple[str, ...] | None:
        try:
            left = self._writer.book.drafts.take_over(place, self._window)
        except NotWritten:
            return None
        with self._lock:
            at = self._at(place)
            self._places[place] = replace(at, late=at.late + left)
        return left

    def _at(self, place: str) -> _Place:
        return self._places.get(place, _Place())

    def _note(self, place: str, sent: str, lines: Sequence[str]) -> None:
        late = self._at(place).late
        self._places[place] = _Place(sent, tuple(lines), () if set(late) <= set(lines) else late)
        self._changed.add(place)
        self._start_timer(self._wait_s)

    def _start_timer(self, wait_s: float) -> None:
        if self._timer is None:
            self._timer = threading.Timer(wait_s, self._due)
            self._timer.daemon = True
            self._timer.start()

    def put_now(self) -> None:
        """Put what has changed without waiting, as the program ends."""
        if self._changed:
            self._due()

    def _due(self) -> None:
        with self._lock:
            self._timer = None
        with suppress(NotWritten):  # the book is being closed: it was put by then
            self._writer.when_idle(self._put)

    def _put(self) -> None:
        """Put the newest lines, which may be newer than when the timer ran out."""
        with self._lock:
            changed, self._changed = self._changed, set()
            newest = {place: self._at(place).all for place in changed}
        try:
            for place, lines in newest.items():
                self.put_in_job(place, lines)
                self._ended.pop(place, None)
        except Exception as error:  # whatever it is, what is typed is not on disk
            self._try_again(changed, error)
        else:
            self._say(None)

    def _try_again(self, places: set[str], error: Exception) -> None:
        with self._lock:
            self._changed |= places
            self._start_timer(RETRY_S)
        self._say(error)

    def _say(self, failed: Exception | None) -> None:
        before, self.failed = self.failed, failed
        if repr(before) != repr(failed):
            self._report(failed)
