"""Keys one by one: each finds everything done that the keys before it brought about.

A slow line, a busy machine or a quick hand sends several keys before the first of them has been
looked at. They must do what the same keys do when they are typed slowly: a letter goes into the
field that Enter went on to, Enter opens the row that was highlighted before Page Down. So a key
waits until the one before it has gone all the way up, what it asked for has been drawn, and what
has to be read for that is there. Letters into one text field follow each other at once.

Nothing waits for ever: after a while a key is delivered all the same.
"""

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable
from time import monotonic

from textual import events
from textual._queue import Queue
from textual.app import App
from textual.message import Message
from textual.message_pump import MessagePump
from textual.widget import Widget
from textual.widgets import Input
from textual.worker import Worker

TypedKey = events.Key | events.Paste

LINE_FEED = "ctrl+j"  # what Enter becomes while the terminal is not yet the program's
LEAVING_KEY = "ctrl+q"
LONGEST_WAIT_S = 5.0
LONGEST_WAIT_LEAVING_S = 0.5  # for each key, once the key that leaves was typed
_POLLS_AT_ONCE = 20
_POLL_S = 0.002

# Work of a page or a sheet that no key waits for: it goes on by itself, or only adds to the list.
_NEVER_AWAITED = frozenset(
    {"watch", "frames-watching", "frames-adding", "write", "past-sums", "kit learned", "curve"}
)


class NextKey(Message):
    """A key that had to wait may be looked at now."""

    def __init__(self, key: TypedKey) -> None:
        super().__init__()
        self.key = key


class KeyPump:
    """Looks at a key when the one before it is done with.

    deliver -- does with a key what the library does.
    takes -- looks at a key before what has the focus does; whether that is all that it does.
    is_held -- whether a key waits for something that only the program knows.
    longest_wait_s -- after this a key is delivered all the same.
    """

    def __init__(
        self,
        app: App[int],
        *,
        deliver: Callable[[events.Event], Awaitable[None]],
        takes: Callable[[TypedKey], bool],
        is_held: Callable[[TypedKey], bool],
        longest_wait_s: Callable[[], float],
    ) -> None:
        self._app = app
        self._deliver_event = deliver
        self._takes = takes
        self._is_held = is_held
        self._longest_wait_s = longest_wait_s
        self._typed_ahead: deque[TypedKey] = deque()
        self._delivering = False
        self._typed_into: Widget | None = None  # where the last key was a letter of a text

    # --- delivering ---

    async def on_event(self, event: events.Event) -> None:
        if isinstance(event, events.Key) and event.key == LINE_FEED:
            event = _as_enter(event)
        if not isinstance(event, TypedKey) or event.is_forwarded:
            await self._deliver_event(event)
        elif self._delivering or not self._may_be_next(event):
            self._typed_ahead.append(event)
            if not self._delivering:
                self._delivering = True
                self._app.run_worker(self._deliver_all(), group="keys")
        else:
            await self.deliver(event)

    async def deliver(self, key: TypedKey) -> None:
        self._typed_into = self._app.focused if _is_text(key, self._app.focused) else None
        if not self._takes(key):
            await self._deliver_event(key)

    async def _deliver_all(self) -> None:
        try:
            while self._typed_ahead:
                await self._wait_for(self._typed_ahead[0])
                if self._typed_ahead:
                    self._app.post_message(NextKey(self._typed_ahead.popleft()))
        finally:
            self._delivering = False

    async def _wait_for(self, key: TypedKey) -> None:
        """Until the key may be looked at; no longer than that is bearable."""
        began, polls = monotonic(), 0
        while not (_is_waiting(self._app) and self._may_be_next(key)):
            longest_s = LONGEST_WAIT_LEAVING_S if self._wants_to_leave() else self._longest_wait_s()
            if monotonic() - began > longest_s:
                return
            polls += 1
            await asyncio.sleep(0 if polls < _POLLS_AT_ONCE else _POLL_S)

    def _wants_to_leave(self) -> bool:
        return any(_is_key(each, LEAVING_KEY) for each in self._typed_ahead)

    def forget_typed_ahead(self) -> None:
        """Drop what was typed before something came up that it wasn't meant for."""
        left = [each for each in self._typed_ahead if _is_key(each, LEAVING_KEY)]
        self._typed_ahead = deque(left)

    # --- whether everything is done ---

    def _may_be_next(self, key: TypedKey) -> bool:
        if not self._app._screen_stacks.get(self._app._current_mode):
            return False  # nothing has been drawn yet
        if _is_text(key, self._app.focused) and self._app.focused is self._typed_into:
            return True
        return self._all_is_quiet() and not self._is_read_for(key) and not self._is_held(key)

    def _all_is_quiet(self) -> bool:
        """Whether nobody handles a message, no page is on its way, and all is laid out."""
        screen = self._app.screen
        if screen._layout_required or screen._callbacks or self._app._next_callbacks:
            return False
        waiting: deque[Message | None] = self._app._message_queue.values
        if not all(map(_is_typed, waiting)):
            return False
        return all(_is_waiting(each) for each in self._app._registry if each is not self._app)

    def _is_read_for(self, key: TypedKey) -> bool:
        """Whether something is still being read that the key may be meant for."""
        at_once = isinstance(key, events.Key) and not key.is_printable and acts_anywhere(key.key)
        return any(self._awaits(each, at_once=at_once) for each in self._app.workers)

    def _awaits(self, worker: Worker[object], *, at_once: bool) -> bool:
        if worker.is_finished or worker.group in _NEVER_AWAITED:
            return False
        if worker.node is self._app:
            return worker.group == "page"
        return (
            not at_once
            and isinstance(worker.node, Widget)
            and worker.node.screen is self._app.screen
        )


def _as_enter(line_feed: events.Key) -> events.Key:
    enter = events.Key("enter", "\r")
    enter.time = line_feed.time
    return enter


def _is_text(key: TypedKey, focused: Widget | None) -> bool:
    printed = isinstance(key, events.Paste) or key.is_printable
    return printed and isinstance(focused, Input)


def _is_key(key: TypedKey, name: str) -> bool:
    return isinstance(key, events.Key) and key.key == name


def _is_typed(message: Message | None) -> bool:
    return isinstance(message, events.InputEvent | events.Paste) and not message.is_forwarded


def acts_anywhere(name: str) -> bool:
    """Keys that lead away: they never wait for what is read."""
    return name == "escape" or name.startswith("ctrl+") or (name[:1] == "f" and name[1:].isdigit())


def _is_waiting(pump: MessagePump) -> bool:
    """Whether it has nothing to do and waits for a message; one that ends counts as well."""
    if pump._closing or pump._closed:
        return True
    queue: Queue[Message | None] = pump._message_queue
    asks_for_more = bool(queue.ready_event._waiters)
    return asks_for_more and queue.empty() and not pump._next_callbacks
