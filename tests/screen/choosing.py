"""The program on the Choose page with the real sky, on a night whose facts are known."""

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

from textual.widgets import DataTable, Input, OptionList

from logbook.screen.app.app import LogbookApp
from logbook.screen.dialogs.live_sheet import LiveSheet
from logbook.screen.services.book_source import BookSource
from logbook.screen.services.services import Desk
from logbook.screen.services.sky import RealSky
from logbook.sky.ranking.tonight import Tonight
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, build_book


def nothing(book: Book) -> None:
    """Leave the small book as it is."""


@asynccontextmanager
async def choosing(
    folder: Path, size: tuple[int, int] = (80, 24), prepare: Callable[[Book], None] = nothing
) -> AsyncIterator[OnScreen]:
    """The program on the small book, changed by `prepare`, with its night computed."""
    clock = Clock(EVENING)
    path = build_book(folder / "logbook.db", clock)
    with open_book(path, clock=clock) as book:
        prepare(book)
    async with reopened(path, size) as screen:
        yield screen


@asynccontextmanager
async def reopened(path: Path, size: tuple[int, int] = (80, 24)) -> AsyncIterator[OnScreen]:
    """The program on a book as it lies there."""
    clock = Clock(EVENING)
    app = LogbookApp(BookSource(path, clock=clock), Desk(RealSky(), clock=clock))
    async with app.run_test(size=size) as pilot:
        screen = OnScreen(pilot, app)
        while app.desk.tonight is None:
            await screen.settle()
        await screen.settle()
        yield screen
    assert app.desk.writer is not None
    app.desk.writer.close()
    screen.book.close()


def tonight_of(screen: OnScreen) -> Tonight:
    found = screen.app.desk.tonight
    assert found is not None
    return found


def rows(screen: OnScreen) -> list[str]:
    """The first cell of every row of the list."""
    table = screen.app.query_one("#choose-list", DataTable)
    return [str(table.get_row_at(row)[0]) for row in range(table.row_count)]


def sheet_rows(screen: OnScreen) -> list[str]:
    """Every row of the list on the sheet in view."""
    shown = screen.app.screen.query_one("#live-list", OptionList)
    return [str(shown.get_option_at_index(row).prompt) for row in range(shown.option_count)]


async def open_sheet(screen: OnScreen, *keys: str) -> str:
    """Press keys that end on a sheet and wait until it is computed; its words."""
    await screen.press(*keys)
    sheet = screen.app.screen
    assert isinstance(sheet, LiveSheet)
    while sheet.found is None:
        await screen.settle()
    await screen.settle()
    return screen.words(".sheet")


async def fill(screen: OnScreen, **values: str) -> None:
    """Type into the form in view and keep it."""
    for name, value in values.items():
        screen.app.screen.query_one(f"#field-{name}", Input).value = value
    await screen.press("ctrl+o")
