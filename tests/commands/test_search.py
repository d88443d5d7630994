"""A search from the shell, on the demo season."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from logbook import cli
from logbook.records.entries import NewEntry, UpkeepDone
from logbook.sky.night.site import Site
from logbook.store.demo.demo import fresh_demo
from logbook.store.opening import make_book, open_book


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> str:
    return str(fresh_demo(tmp_path_factory.mktemp("search")))


def found(capsys: pytest.CaptureFixture[str], *arguments: str) -> list[str]:
    assert cli.main(["search", *arguments]) == 0
    return capsys.readouterr().out.splitlines()


def test_what_was_typed_months_ago_is_found_with_its_evening(
    season: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (line,) = found(capsys, "grub", "chewed", "--book", season)
    assert line.startswith("2026-08-18  upkeep      upkeep Long tube: grub screw of B replaced")


def test_filters_narrow_a_search(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    upkeep = found(capsys, "--kind", "upkeep", "--part", "two-inch focuser", "--book", season)
    assert upkeep
    assert all("upkeep" in line for line in upkeep)
    early = found(capsys, "--kind", "turn", "--to", "2026-04-30", "--book", season)
    assert early
    assert all(line < "2026-05" for line in early)


def test_a_search_as_json(season: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["search", "crescent", "--limit", "2", "--json", "--book", season]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["more"] is True
    assert [each["object"] for each in told["entries"]] == ["Crescent Nebula"] * 2


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        ((), 2, "what to search for"),
        (("x", "--from", "the other day"), 2, "YYYY-MM-DD"),
        (("x", "--limit", "0"), 2, "at least one"),
        (("x", "--part", "unheard of"), 3, "no part"),
    ],
)
def test_what_cannot_be_searched_for_is_told(
    season: str,
    capsys: pytest.CaptureFixture[str],
    arguments: tuple[str, ...],
    code: int,
    words: str,
) -> None:
    assert cli.main(["search", *arguments, "--book", season]) == code
    assert words in capsys.readouterr().err


def test_nothing_found_says_how_to_find_more(
    season: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["search", "xylophone", "--book", season]) == 0
    told = capsys.readouterr()
    assert told.out == ""
    assert "Nothing was found" in told.err


def test_a_pipe_gets_words_alone_and_how_many_there_are_goes_beside_it(
    season: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["search", "crescent", "--limit", "2", "--book", season]) == 0
    told = capsys.readouterr()
    assert "\x1b" not in told.out
    assert len([line for line in told.out.splitlines() if line.startswith("20")]) == 2
    assert "these are the newest 2" in told.err


def test_words_elsewhere_in_the_book_are_listed_after_the_nights(
    season: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert found(capsys, "clicks", "--book", season)[-1].startswith(
        "elsewhere   part        Filter"
    )
    assert cli.main(["search", "clicks", "--json", "--book", season]) == 0
    (part,) = json.loads(capsys.readouterr().out)["elsewhere"]
    assert (part["kind"], part["is_now"]) == ("part", True)


@pytest.fixture
def by_day(tmp_path: Path) -> str:
    """Upkeep at 14:05 on 29 November in Honolulu, where the zone is UTC-10 all year."""
    path = make_book(tmp_path / "logbook.db")
    with open_book(path) as book:
        book.sites.add(Site("A first one", 48.2, 16.3, 310.0, "Europe/Vienna"))
        book.sites.add(Site("Lanai", 21.3, -157.9, 20.0, "Pacific/Honolulu"))
        book.choices.put("site", "Lanai")
        at = datetime(2026, 11, 30, 0, 5, tzinfo=UTC)
        done = UpkeepDone("Long tube", "mirror rinsed", before="dusty")
        entry = NewEntry("upkeep", at, "upkeep Long tube: mirror rinsed", upkeep=done)
        book.timeline.keep(None, entry)
    return str(path)


def test_an_entry_by_day_has_the_date_of_the_site(
    by_day: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (line,) = found(capsys, "rinsed", "--book", by_day)
    assert line.startswith("2026-11-29 ")
    (line,) = found(capsys, "dusty", "--book", by_day)
    assert "2026-11-29" in line
    assert "2026-11-30" not in line


@pytest.mark.parametrize(
    ("bounds", "is_found"),
    [
        (("--from", "2026-11-29", "--to", "2026-11-29"), True),
        (("--from", "2026-11-29"), True),
        (("--to", "2026-11-29"), True),
        (("--from", "2026-11-30"), False),
        (("--to", "2026-11-28"), False),
    ],
)
def test_an_entry_by_day_is_found_between_the_dates_of_the_site(
    by_day: str, bounds: tuple[str, ...], is_found: bool, capsys: pytest.CaptureFixture[str]
) -> None:
    assert bool(found(capsys, "rinsed", *bounds, "--book", by_day)) is is_found
    assert bool(found(capsys, "--kind", "upkeep", *bounds, "--book", by_day)) is is_found
