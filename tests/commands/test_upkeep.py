"""The command upkeep: what is due, what was done, what is wished for, as text and as JSON."""

import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from logbook import cli
from logbook.commands.upkeep_cmd import print_due
from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, UpkeepDone
from logbook.report.words.upkeep_words import percent, rule_words, share_bar
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from logbook.store.upkeep.rules import UpkeepRule
from tests.clock import Clock


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def path(book_path: Path, clock: Clock) -> Path:
    """Work on two parts in two years; a rule long due, one to come, one put off."""
    with open_book(book_path, clock=clock) as book:
        book.sites.add(Site("Auckland yard", -36.8, 174.8, 20.0, "Pacific/Auckland"))
        book.kit.add_part(Part("Tube", "telescope"))
        screw = Part("Screw", "small hardware", note="Bright steel.")
        book.kit.add_part(screw.with_word("thread", "M3x0.5").with_number("stock_count", 0))
        wish = Part("Ring", "extension ring", state="wished for", reason="too short", price=20.0)
        book.kit.add_part(wish)
        book.kit.add_part(Part("Belt", "small hardware", state="wished for"))
        rules = (
            UpkeepRule("mirror rinse", "Tube", every_months=1),
            UpkeepRule("dust", "Tube", every_months=240, after_transport=True),
            UpkeepRule("batteries", every_months=1),
        )
        for rule in rules:
            record = book.upkeep.add(rule)
        _done(book, clock, UpkeepDone("mirror rinsed", "Tube", 3.5, 40, photo_path="none/here.jpg"))
        clock.forward(days=88)  # 31 December 2025 in England, New Year at the site
        _done(book, clock, UpkeepDone("greased [bold]", "Shed door", 1.25, before="dry"))
        book.upkeep.snooze(record.id, clock.now + timedelta(days=300))
    return book_path


def _done(book: Book, clock: Clock, done: UpkeepDone) -> None:
    book.timeline.keep(None, NewEntry("upkeep", clock.now, done.action, upkeep=done))


def told(capsys: pytest.CaptureFixture[str], path: Path, *arguments: str) -> str:
    assert cli.main(["upkeep", *arguments, "--book", str(path)]) == 0
    return capsys.readouterr().out


def due_told(capsys: pytest.CaptureFixture[str], path: Path, clock: Clock, **how: bool) -> str:
    """What is due by the clock of the test."""
    with open_book(path, clock=clock) as book:
        print_due(book, **{"every_rule": False, "as_json": False, **how})
    return capsys.readouterr().out


def told_json(capsys: pytest.CaptureFixture[str], path: Path, *arguments: str) -> Any:
    return json.loads(told(capsys, path, "--json", *arguments))


def test_the_due_list_says_why_and_cautions(
    path: Path, clock: Clock, capsys: pytest.CaptureFixture[str]
) -> None:
    out = due_told(capsys, path, clock)
    assert out.startswith("Upkeep: 1 due, 1 to come, 1 put off.")
    assert "Tube: mirror rinse" in out
    assert "2.9 of 1 months; every 1 month; done 2025-10-05" in out
    assert "! A mirror can come loose" in out
    assert "batteries" not in out
    assert "2 not due: --all lists every rule." in out


def test_every_rule_with_those_put_off_last(
    path: Path, clock: Clock, capsys: pytest.CaptureFixture[str]
) -> None:
    out = due_told(capsys, path, clock, every_rule=True)
    places = [out.index(words) for words in ("mirror rinse", "Tube: dust", "batteries")]
    assert places == sorted(places)
    assert "every 240 months, and after transport" in out
    assert "put off until" in out


def test_the_history_has_the_sums_of_each_year_at_the_site(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = told(capsys, path, "--history").splitlines()
    assert lines == [
        "2026: 1 time, cost 1.25",
        "  2026-01-01  Shed door: greased [bold], cost 1.25; before: dry",
        "2025: 1 time, 40 min, cost 3.50",
        "  2025-10-05  Tube: mirror rinsed, 40 min, cost 3.50; photo: none/here.jpg"
        " (no such photo there now; its path is kept)",
    ]
    assert "greased" not in told(capsys, path, "--history", "tube")
    assert "greased" in told(capsys, path, "--history", "shed door")


def test_wishes_and_sizes(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(capsys, path, "--wishes").splitlines()
    assert lines == [
        "Wished for: 2, 20.00 in all, and 1 of unknown price.",
        "  small hardware Belt (no size known; not known: overall length, width), price not known",
        "  extension ring Ring, 20.00: too short",
        "Small hardware and its sizes, as far as the book knows:",
        "  Screw: thread M3x0.5; not known: shaft length; none in stock (Bright steel.)",
    ]


def test_json_says_the_same_in_numbers(
    path: Path, clock: Clock, capsys: pytest.CaptureFixture[str]
) -> None:
    (due,) = json.loads(due_told(capsys, path, clock, as_json=True))["due"]
    assert (due["part"], due["action"], due["is_due"]) == ("Tube", "mirror rinse", True)
    assert due["share"] > 1
    assert len(told_json(capsys, path, "--all")["due"]) == 3
    history = told_json(capsys, path, "--history")
    assert history["years"] == [
        {"year": 2026, "times": 1, "minutes": 0, "cost": 1.25},
        {"year": 2025, "times": 1, "minutes": 40.0, "cost": 3.5},
    ]
    assert [each["part"] for each in history["entries"]] == ["Shed door", "Tube"]
    wishes = told_json(capsys, path, "--wishes")
    assert [each["name"] for each in wishes["wishes"]] == ["Belt", "Ring"]
    assert {each["part"] for each in wishes["spares"]} == {"Screw", "Belt"}


def test_an_empty_book_says_what_to_do_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    empty = make_book(tmp_path / "empty.db")
    assert "the key n sets one" in told(capsys, empty)
    assert "upkeep PART: what was done" in told(capsys, empty, "--history")
    assert "No part is wished for" in told(capsys, empty, "--wishes")
    assert told_json(capsys, empty) == {"due": []}


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("--all", "--wishes"), 2, "one at a time"),
        (("--history", "roof"), 3, "Nothing was done to 'roof'"),
    ],
)
def test_what_cannot_be_asked_is_said(
    path: Path,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
    code: int,
    words: str,
) -> None:
    assert cli.main(["upkeep", *arguments, "--book", str(path)]) == code
    assert words in capsys.readouterr().err


def test_a_rule_is_told_with_all_its_limits() -> None:
    rule = UpkeepRule("x", None, 20, 1, 40.5, 10, after_transport=True)
    words = "every 20 nights or 1 month or 40.5 h of use or 10 °C of change, and after transport"
    assert rule_words(rule) == words
    assert rule_words(UpkeepRule("x", after_transport=True)) == "after transport"


@pytest.mark.parametrize(
    ("share", "bar", "said"),
    [(0.0, "░░░░", "0 %"), (0.49, "█░░░", "49 %"), (1.0, "████", "100 %"), (80, "████", ">999 %")],
)
def test_the_bar_is_full_when_it_is_due(share: float, bar: str, said: str) -> None:
    assert share_bar(share, 4) == bar
    assert percent(share) == said
