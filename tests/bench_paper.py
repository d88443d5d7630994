"""How long a page of looking back takes to stand on the screen, and how long the keys wait for it.

`python -m tests.bench_paper [book]` prints it; nothing is asserted. Without a book, one of twenty
years is made. "keys wait" is the longest time in which the screen could not have taken a key.
"""

import asyncio
import gc
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

from logbook.report.render.keys import PageKey
from logbook.screen.app.app import LogbookApp
from logbook.screen.dialogs.paper_sheet import PaperSheet
from logbook.screen.pages.past.list import NightsList
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.store.opening import make_book, open_book
from tests.bench_past import WIDTH_EVERY, _keys, _read_more
from tests.bench_store import _fill
from tests.clock import Clock
from tests.screen.book_on_screen import NoSky

NIGHTS = 5000
STEP_S = 0.002


class Watcher:
    """Asks for the time again and again; a long gap is a screen that was busy."""

    def __init__(self) -> None:
        self.longest_s = 0.0

    async def watch(self) -> None:
        while True:
            before = time.perf_counter()
            await asyncio.sleep(STEP_S)
            self.longest_s = max(self.longest_s, time.perf_counter() - before - STEP_S)


@asynccontextmanager
async def watched(what: str, lines: list[str]) -> AsyncIterator[None]:
    """Say how long something took and how long keys had to wait meanwhile."""
    watcher = Watcher()
    task = asyncio.create_task(watcher.watch())
    begun = time.perf_counter()
    yield
    took_s = time.perf_counter() - begun
    task.cancel()
    lines.append(
        f"{what[:34]:34} {took_s * 1e3:5.0f} ms; keys wait {watcher.longest_s * 1e3:4.0f} ms"
    )


async def until(true: Callable[[], bool]) -> None:
    while not true():
        await asyncio.sleep(STEP_S)


async def measure(path: Path, keys: list[PageKey]) -> list[str]:
    """The list of nights from end to end, then every page."""
    clock, lines = Clock(), ["on the screen, 120x40"]
    app = LogbookApp(BookSource(path, clock=clock), Desk(NoSky(), clock=clock))
    async with app.run_test(size=(120, 40)) as pilot:
        await until(lambda: bool(app.desk.view.nights))
        await pilot.pause()
        async with watched("the Past page", lines):
            app.action_turn_to("past")
            await until(lambda: bool(app.query(NightsList)))
            nights = app.query_one(NightsList)
            await until(lambda: nights.row_count == NIGHTS)
        async with watched("to its last night", lines):
            nights.action_to_end(-1)
            await until(lambda: nights.nights[-1].id in nights._summaries)
        gc.freeze()  # as the program does when it has settled
        for again in ("", ", again"):
            for key in keys:
                sheet = PaperSheet(app.desk, key)
                async with watched(f"{key.words}{again}", lines):
                    app.push_screen(sheet)
                    await until(lambda sheet=sheet: sheet._drawn is not None)  # type: ignore[misc]
                await pilot.pause()
                app.pop_screen()
                await pilot.pause()
    if app.desk.writer is not None:
        app.desk.writer.close()
    return lines


def run(made: Path | None = None) -> list[str]:
    """Lines with figures, for a book that was made before or for a new one."""
    with tempfile.TemporaryDirectory() as folder:
        path = made or Path(folder) / "past.db"
        if made is None:
            make_book(path)
            with open_book(path) as book:
                _fill(book, NIGHTS, width_every=WIDTH_EVERY)
                _read_more(book, NIGHTS)
        with open_book(path, read_only=True) as book:
            keys = _keys(book)
        return asyncio.run(measure(path, keys))


if __name__ == "__main__":
    print("\n".join(run(Path(sys.argv[1]) if len(sys.argv) > 1 else None)))
