"""Every key that the help names does what it says."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.binding import Binding

from logbook.screen.app.page_classes import make_page
from logbook.screen.pages.night.page import NightPage
from logbook.screen.widgets.keys import KEYS, PAGES
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING)


@pytest.fixture
def book_path(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    return path


def top_sheet(screen: OnScreen) -> str:
    return type(screen.app.screen).__name__


async def _page(screen: OnScreen, name: str) -> None:
    assert screen.app.query_one("#pages").current == name  # type: ignore[attr-defined]


# For every key: press it, then what must be true.
EFFECTS: dict[str, Callable[[OnScreen], bool]] = {
    "help": lambda s: top_sheet(s) == "HelpSheet",
    "form": lambda s: top_sheet(s) == "EntryForm",
    "begin": lambda s: top_sheet(s) == "EndNight",
    "palette": lambda s: top_sheet(s) == "Palette",
    "red": lambda s: s.app._red_filter.enabled,
    "far": lambda s: top_sheet(s) == "FarView",
    "undo": lambda s: len(s.timeline) == 1,
    "redo": lambda s: len(s.timeline) == 2,
    "line": lambda s: s.app.focused is not None and s.app.focused.id == "line",
    "leave": lambda s: s.app._exit,
}


@pytest.mark.parametrize("key", [key for key in KEYS if key.id not in PAGES], ids=lambda k: k.id)
async def test_every_key_does_what_the_help_says(
    key: object, book_path: Path, clock: Clock
) -> None:
    from logbook.screen.widgets.keys import Key

    assert isinstance(key, Key)
    async with opened(book_path, clock, "past") as screen:
        for line in ("note one", "note two"):
            await screen.enter(line)
            clock.forward(minutes=1)
        if key.id == "redo":
            await screen.press("f8")
        await screen.press(key.key)
        assert EFFECTS[key.id](screen), key.help


async def test_the_page_keys_turn_to_their_pages(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "past") as screen:
        for key in KEYS:
            if key.id in PAGES:
                await screen.press(key.key)
                await _page(screen, key.id)


async def test_the_help_names_every_key_of_every_page(book_path: Path, clock: Clock) -> None:
    from logbook.screen.app.help import help_lines

    async with opened(book_path, clock, "past") as screen:
        for name in PAGES:
            page = make_page(name, screen.app.desk)
            told = "\n".join(line.plain for line in help_lines(page))
            assert all(key.shown in told and key.help in told for key in KEYS)
            assert page.KEYS
            assert all(row.help in told for row in page.KEYS)
            assert "Sun" in told


async def test_no_key_is_one_that_terminals_confuse() -> None:
    """Common practice, no source: ctrl+h, i, j, m are backspace, tab and enter; s and q may be
    flow control, but q only leaves and nothing is lost; b is the usual tmux prefix."""
    taken = {f"ctrl+{letter}" for letter in "hijmsb"} | {"ctrl+enter", "shift+enter", "alt+enter"}
    assert not {key.key for key in KEYS} & taken


async def test_the_palette_offers_every_action(book_path: Path, clock: Clock) -> None:
    async with opened(book_path, clock, "night") as screen:
        offered = {each.title for each in screen.app.get_system_commands(screen.app.screen)}
        assert {key.help for key in KEYS} <= offered
        own = {each.tooltip for each in NightPage.BINDINGS if isinstance(each, Binding)}
        assert own
        assert own <= offered


async def test_one_table_gives_a_page_its_bindings_and_its_help(
    book_path: Path, clock: Clock
) -> None:
    async with opened(book_path, clock, "past") as screen:
        for name in PAGES:
            page = make_page(name, screen.app.desk)
            bound = [each.key for each in page.BINDINGS if isinstance(each, Binding)]
            assert bound == [key.keys for row in page.KEYS for key in row.keys]
            assert len(bound) == len(set(bound))
            assert not hasattr(page, "OWN_KEYS")
