"""The night's running order as text to take out, and limits from the command line."""

import json
import re
import socket
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from logbook import cli
from logbook.records.choosing import OrderItem
from logbook.records.entries import TargetCopy
from logbook.sky.limits.limits import Limits
from logbook.sky.night.site import Site
from logbook.store.opening import open_book

NIGHT = date(2026, 11, 8)
NIGHT_WORDS = ["--date", "2026-11-08"]
CRAB = TargetCopy("NGC 1952", "Crab Nebula", "supernova remnant", 83.63, 22.01)
MOON = TargetCopy("Moon", "Moon", "Moon", None, None)


def utc(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 11, 8 if hour >= 12 else 9, hour, minute, tzinfo=UTC)


@pytest.fixture
def path(book_path: Path) -> Path:
    with open_book(book_path) as book:
        book.sites.add(Site("Skerry", 52.1, -3.7, 200.0, "Europe/London"))
    return book_path


def printed(capsys: pytest.CaptureFixture[str], path: Path, *words: str) -> list[str]:
    assert cli.main(["tonight", "--book", str(path), *NIGHT_WORDS, *words]) == 0
    return capsys.readouterr().out.splitlines()


def numbered(lines: list[str]) -> list[str]:
    """The lines that begin with a place in a list."""
    return [line for line in lines if re.match(r" ?\d+  ", line)]


def test_without_a_kept_order_the_suggestions_are_put_in_order(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = printed(capsys, path, "--plan")
    assert lines[0] == "Running order for Sunday 08 November 2026, Skerry"
    assert lines[1].endswith("made of the suggestions: nothing is kept for it yet.")
    assert lines[2].startswith("Dark 18:31 to 05:27, 10.9 h")
    assert lines[3].startswith("Moon: ")
    slots = numbered(lines)
    assert len(slots) == 5
    assert slots[0].startswith(" 1  18:31–")
    assert slots[-1][10:15] == "05:27"
    assert all(len(line) <= 80 for line in lines)


def test_the_order_kept_last_is_printed_as_it_was_kept(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with open_book(path) as book:
        site = book.sites.all()[0]
        book.running_orders.keep(site.id, NIGHT, [OrderItem(MOON, utc(19), utc(20))])
        items = [
            OrderItem(MOON, utc(18, 30), utc(19, 15), "the crater by the terminator"),
            OrderItem(CRAB, utc(23), utc(3)),
        ]
        book.running_orders.keep(site.id, NIGHT, items)
    lines = printed(capsys, path, "--plan")
    assert "as kept in the book" in lines[1]
    assert " 1  18:30–19:15    45 min  Moon" in lines
    assert "    the crater by the terminator" in lines
    at = lines.index(" 2  23:00–03:00    4 h 00  Crab Nebula (M 1)")
    assert lines[at + 1] == "    crosses the meridian at 02:38"
    assert "    free 19:15–23:00, 3 h 45" in lines


def test_an_order_that_was_cleared_says_so(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with open_book(path) as book:
        book.running_orders.keep(book.sites.all()[0].id, NIGHT, [])
    assert "Nothing is planned for this night." in printed(capsys, path, "--plan")


def test_the_plan_as_json(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = json.loads("\n".join(printed(capsys, path, "--plan", "--json", "--limit", "3")))
    assert list(answer) == ["site", "night", "kept", "order", "left_out", "free"]
    assert (answer["site"], answer["night"], answer["kept"]) == ("Skerry", "2026-11-08", False)
    assert len(answer["order"]) == 3
    assert list(answer["order"][0]) == ["object", "name", "from", "to", "meridian", "words"]
    assert answer["order"][0]["from"].endswith("Z")


def test_limits_are_typed_or_named(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    typed = printed(capsys, path, "--limits", "planetary nebulae, mag under 11", "--limit", "4")
    heads = numbered(typed)
    assert len(heads) == 4
    assert all("planetary nebula" in line for line in heads)
    assert any(
        line.endswith(" within the limits: planetary nebulae, mag under 11") for line in typed
    )
    with open_book(path) as book:
        book.limit_sets.keep("My rings", Limits(kinds=("planetary nebula",), faintest_mag=11.0))
    assert printed(capsys, path, "--limits", "my rings", "--limit", "4") == typed


def test_limits_that_cannot_be_read_are_refused(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = ["tonight", "--book", str(path), *NIGHT_WORDS, "--limits", "galaxis"]
    assert cli.main(command) == 2
    assert "is it 'galaxies'?" in capsys.readouterr().err


@pytest.mark.parametrize("words", [["--json"], ["--plan"], ["--limits", "galaxies, above 40"]])
def test_the_network_is_never_asked(
    path: Path,
    words: list[str],
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse(*_args: object, **_options: object) -> None:
        raise AssertionError("the network was asked")

    for name in ("create_connection", "getaddrinfo", "socket"):
        monkeypatch.setattr(socket, name, refuse)
    assert printed(capsys, path, *words)
