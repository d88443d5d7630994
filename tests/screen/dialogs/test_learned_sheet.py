"""What readings teach, looked at in the terminal."""

import asyncio
import math
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.records.entries import NewEntry
from logbook.screen.dialogs.learned_sheet import LearnedSheet
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import begin_night, build_book, opened
from tests.screen.widgets.test_red import leaks


def night_with_readings(path: Path, clock: Clock) -> int:
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        for minutes in range(0, 121, 20):
            air_c = 8.0 - minutes / 40.0
            readings = (
                ("air_temperature_c", air_c),
                ("mirror_temperature_c", round(8.0 + 10.0 * math.exp(-minutes / 40.0), 1)),
                ("humidity_percent", 80.0 + minutes / 12.0),
                ("focus_position", 5000.0 - 20.0 * air_c + minutes % 3),
            )
            at = EVENING + timedelta(minutes=minutes)
            book.timeline.keep(night_id, NewEntry("reading", at, "as read", readings=readings))
    return night_id


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 16)])
def test_cooling_focus_and_dew_are_drawn_and_red(tmp_path: Path, size: tuple[int, int]) -> None:
    clock = Clock()
    path = build_book(tmp_path / "night.db", clock)
    night_id = night_with_readings(path, clock)

    async def look() -> None:
        async with opened(path, clock, "night", size) as screen:
            screen.app.push_screen(LearnedSheet(screen.app.desk, night_id))
            await screen.settle()
            await screen.press("f7")
            assert "Cooling of the mirror" in screen.words("#live-body")
            assert "constant" in screen.words("#live-body")
            await screen.press("end")
            assert "Smallest margin" in screen.words("#live-body") or size[1] == 16
            assert not leaks(screen.app)
            await screen.press("escape")
            assert not isinstance(screen.app.screen, LearnedSheet)

    asyncio.run(look())


def test_a_night_without_readings_says_what_is_needed(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "night.db", clock)
    night_id = begin_night(path, clock)

    async def look() -> None:
        async with opened(path, clock, "night") as screen:
            screen.app.push_screen(LearnedSheet(screen.app.desk, night_id))
            await screen.settle()
            body = screen.words("#live-body")
            assert "4 readings of the mirror are needed" in body
            assert "humidity, or the dew point, are needed" in body

    asyncio.run(look())
