"""The cool-down shown for a train is the tube's own once three nights gave it."""

import math
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.commands.train_cmd import print_trains
from logbook.records.entries import NewEntry
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import build_book


def test_three_nights_replace_the_expectation(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    clock = Clock()
    path = build_book(tmp_path / "night.db", clock)
    with open_book(path, clock=clock) as book:
        train, site = book.kit.train_named("Long train"), book.sites.all()[0]
        print_trains(book, "Long train", as_json=False)
        assert "learned" not in capsys.readouterr().out
        for _ in range(3):
            night = book.nights.start(site.id, train.id, "R. Quill", clock())
            for minutes in range(0, 121, 20):
                degrees = round(5.0 + 12.0 * math.exp(-minutes / 40.0), 1)
                readings = (("air_temperature_c", 5.0), ("mirror_temperature_c", degrees))
                at = clock() + timedelta(minutes=minutes)
                book.timeline.keep(night.id, NewEntry("reading", at, "read", readings=readings))
            book.nights.end(night.id, clock.forward(hours=3))
            clock.forward(hours=21)
        print_trains(book, "Long train", as_json=False)
        assert "learned" in capsys.readouterr().out
