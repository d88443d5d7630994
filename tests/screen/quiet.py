"""Waiting until a program on the screen has nothing left to do, by what it still has to do.

Textual's own pilot waits until the process uses no time of the processor. On a busy machine a
program that was never let run looks like that too, and an idle one costs 20 ms at every look. Here
every queue is looked at: what is in none of them will not happen by itself.
"""

import asyncio
import unicodedata
from collections.abc import Awaitable, Callable, Iterator
from contextlib import suppress
from typing import Any

from textual import events
from textual.app import App
from textual.keys import REPLACED_KEYS, _character_to_key, _get_unicode_name_from_key
from textual.message_pump import MessagePump
from textual.screen import Screen
from textual.worker import WorkerCancelled

_ROUNDS_QUIET = 2  # a message handled in the first may have put one into a queue looked at before
_MOST_ROUNDS = 10_000
_LOOK_AGAIN_S = 0.5


async def _nothing_else() -> None:
    return


async def settled(app: App[Any], else_done: Callable[[], Awaitable[None]] = _nothing_else) -> None:
    """Wait until no message, callback, worker or drawing is left.

    else_done -- waits for what works beside the program's own loop.
    """
    quiet = 0
    for _ in range(_MOST_ROUNDS):
        await _queues_passed(app)
        with suppress(WorkerCancelled):  # a newer wish took its place
            await app.workers.wait_for_complete()
        await else_done()
        await app.animator.wait_until_complete()
        if not app.screen_stack:
            return
        app.screen._on_timer_update()
        quiet = 0 if _has_something_left(app) else quiet + 1
        if quiet == _ROUNDS_QUIET or app._exit:
            return
    raise AssertionError("the program on the screen never comes to rest")


def _pumps(app: App[Any]) -> Iterator[MessagePump]:
    yield app
    for screen in app.screen_stack:
        yield from screen.walk_children(with_self=True)


def _has_something_left(app: App[Any]) -> bool:
    working = any(not worker.is_finished for worker in app.workers)
    return working or any(_is_busy(pump) for pump in _pumps(app))


def _is_busy(pump: MessagePump) -> bool:
    waits = pump.message_queue_size > 0 or bool(pump._next_callbacks)
    return waits or (isinstance(pump, Screen) and pump.is_current and _is_to_be_drawn(pump))


def _is_to_be_drawn(screen: Screen[Any]) -> bool:
    return bool(screen._callbacks or screen._layout_required or screen._dirty_widgets)


async def _queues_passed(app: App[Any]) -> None:
    """Until everything that was in a queue has been handled."""
    await asyncio.gather(*(_passed(app, pump) for pump in list(_pumps(app))))


async def _passed(app: App[Any], pump: MessagePump) -> None:
    passed = asyncio.Event()
    if not pump.call_later(passed.set):
        return
    while pump.is_running and app._exception is None and not passed.is_set():
        with suppress(TimeoutError):  # one that was taken away handles nothing more
            await asyncio.wait_for(passed.wait(), _LOOK_AGAIN_S)


def key_event(key: str) -> events.Key:
    """As Textual's pilot makes it of a key's name or of a character."""
    name = _character_to_key(key) if len(key) == 1 and not key.isalnum() else key
    character: str | None
    try:
        character = unicodedata.lookup(_get_unicode_name_from_key(REPLACED_KEYS.get(name, name)))
    except KeyError:
        character = key if len(key) == 1 else None
    return events.Key(name, character)
