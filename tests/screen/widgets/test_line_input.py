"""Keys that come in one burst, as over a slow line, are taken in their order."""

from pathlib import Path
from typing import Any

import pytest
from textual.app import App, ComposeResult
from textual.events import Key

from logbook.screen.widgets.line_input import LineInput
from tests.clock import Clock
from tests.screen.book_on_screen import begin_night, build_book, opened
from tests.screen.quiet import settled

BACK = "\x7f"
NAMES = {BACK: "backspace", "\r": "enter", "\t": "tab", "<": "left", "^": "up"}


def burst(app: App[Any], typed: str) -> None:
    """All keys at once, before the first of them is looked at."""
    for sign in typed:
        name = NAMES.get(sign)
        app.post_message(Key(name or sign, None if name else sign))


class OneField(App[None]):
    def compose(self) -> ComposeResult:
        yield LineInput()


@pytest.mark.parametrize(
    ("typed", "stands"),
    [
        (f"1/4{BACK}8", "1/8"),
        (f"abc{BACK}{BACK}{BACK}x", "x"),
        ("ac<b", "abc"),
        (f"{BACK}a", "a"),
    ],
)
async def test_a_letter_taken_back_in_a_burst_is_the_one_before(typed: str, stands: str) -> None:
    app = OneField()
    async with app.run_test():
        burst(app, typed)
        await settled(app)
        assert app.query_one(LineInput).value == stands


async def test_enter_in_a_burst_keeps_the_line_as_it_was_mended(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    async with opened(path, clock, "night") as screen:
        await screen.press("ctrl+t")
        burst(screen.app, f"turn A tighten 1/4{BACK}8\r^{BACK}4\rnote dex{BACK}w")
        await screen.settle()
        await screen.settle()
        kept = [each.content.turn for each in screen.timeline]
        assert [turn.turns for turn in kept if turn] == [0.125, 0.25]
        assert screen.line == "note dew"
