"""Searching every word ever logged on the screen: while one types, with gloves, without a mouse."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, TargetCopy
from logbook.screen.pages.past.search import SearchSheet
from logbook.screen.pages.past.search_words import day_typed
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, build_book, opened

CLOUD = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.68, 41.27)
HOSTILE = "note [/b]red[link=x] OR NEAR( %s"

OLD = ("note clouds from the west", "note dew on the finder")
NEW = ("note on with the dew band", "note dew heater slips", HOSTILE, "note a marten on the roof")


def season(book: Book) -> None:
    """Two nights a year apart with one train each, and a part with a note."""
    site = book.sites.all()[0]
    for days, train, lines in (
        (400, "Short train", ("note clouds from the west", "note dew on the finder")),
        (
            9,
            "Long train",
            (
                "note on with the dew band",
                "note dew heater slips",
                HOSTILE,
                "note a marten on the roof",
            ),
        ),
    ):
        began = EVENING - timedelta(days=days)
        night = book.nights.start(site.id, book.kit.train_named(train).id, "", began)
        for minutes, text in enumerate(lines):
            at = began + timedelta(minutes=minutes)
            book.timeline.keep(night.id, NewEntry("note", at, text))
        trouble = NewEntry("trouble", began + timedelta(minutes=9), "trouble dew", target=CLOUD)
        last = book.timeline.keep(night.id, trouble)
        book.nights.end(night.id, began + timedelta(hours=3))
    marten = book.timeline.of_night(night.id)[3]
    book.timeline.correct(marten.id, NewEntry("note", EVENING, "note a cat on the roof"))
    assert last.content.text == "trouble dew"
    book.kit.add_part(Part("Dew band", "small hardware", note="warms the finder"))


@asynccontextmanager
async def searching(
    tmp_path: Path, size: tuple[int, int] = (80, 24), *, filled: bool = True
) -> AsyncIterator[OnScreen]:
    """The search sheet, open over the Past page."""
    path = build_book(tmp_path / "logbook.db", Clock())
    if filled:
        with open_book(path, clock=Clock()) as book:
            season(book)
    async with opened(path, Clock(), "past", size) as screen:
        screen.app.push_screen(SearchSheet(screen.app.desk))
        await screen.settle()
        yield screen


async def type_words(screen: OnScreen, words: str) -> str:
    """Type into the line; what the sheet says of it then."""
    screen.app.screen.query_one("#find-line", Input).value = words
    await screen.settle()
    await screen.settle()
    return screen.words("#live-top")


def rows(screen: OnScreen) -> list[str]:
    return [row for row in screen.words("#find-list").splitlines() if row.strip()]


async def test_each_key_searches_and_the_newest_comes_first(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        assert "A word or the beginning" in screen.words("#live-top")
        await screen.press("d", "e")
        assert screen.words("#live-top").startswith("5 lines in 2 nights; 1 elsewhere")
        first, *_, last = rows(screen)
        assert first.startswith("2025-09-25  trouble    dew (Andromeda Galaxy)")
        assert last.startswith("elsewhere   part       Dew band")
        assert "Long train" in screen.words("#live-about")
        await type_words(screen, "de w")
        assert len(rows(screen)) == 6, "a last letter alone is a word only just begun"


async def test_best_first_is_one_key(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        assert "Newest first." in await type_words(screen, "dew on")
        assert "on with the dew band" in rows(screen)[0]
        await screen.press("ctrl+r")
        assert "Best first." in screen.words("#live-top")
        assert "dew on the finder" in rows(screen)[0]
        await screen.press("ctrl+r")
        assert "on with the dew band" in rows(screen)[0]


async def test_enter_opens_the_night_and_escape_comes_back_to_the_same_place(
    tmp_path: Path,
) -> None:
    async with searching(tmp_path) as screen:
        await type_words(screen, "dew")
        await screen.press(*["down"] * 4)
        before = screen.words("#live-about")
        await screen.press("enter")
        assert "Night of Friday 30 August 2024" in screen.words("#live-heading")
        assert "dew on the finder" in screen.words("#live-body")
        await screen.press("escape")
        assert screen.app.screen.query_one("#find-line", Input).value == "dew"
        assert screen.words("#live-about") == before
        await screen.press("escape")
        assert len(screen.app.screen_stack) == 1


async def test_what_stands_elsewhere_leads_to_its_page(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        assert "1 elsewhere" in await type_words(screen, "warms")
        await screen.press("enter")
        assert "Dew band" in screen.words("#live-heading")


async def test_a_filter_is_picked_from_a_list_with_counts_and_taken_off_by_one_key(
    tmp_path: Path,
) -> None:
    async with searching(tmp_path) as screen:
        await type_words(screen, "dew")
        await screen.press("tab", "enter")
        assert "note  3 lines" in screen.words("#pick-list")
        await screen.press(*"trou", "enter")
        assert "Only kind trouble." in screen.words("#find-only")
        assert [row[:19] for row in rows(screen)] == ["2025-09-25  trouble", "2024-08-30  trouble"]
        await screen.press("tab", "down", "down", "down", "enter")
        assert "Long train  1 line" in screen.words("#pick-list")
        await screen.press("enter")
        assert "Only kind trouble, with the train Long train." in screen.words("#find-only")
        await screen.press("shift+tab")
        assert "train" not in screen.words("#find-only")
        await screen.press("tab", "delete")
        assert not screen.app.screen.query_one("#find-only").display
        assert len(rows(screen)) == 6


async def test_dates_are_picked_by_the_year_or_typed(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        await screen.press("tab", *["down"] * 5, "enter")
        assert "2024  3 lines" in screen.words("#pick-list")
        await screen.press(*"2024-12", "enter")
        assert "Only to 2024-12-31." in screen.words("#find-only")
        assert {row[:10] for row in rows(screen)} == {"2024-08-30"}


async def test_a_search_in_vain_proposes_what_to_loosen(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        assert "Nothing has that. Enter takes" in await type_words(screen, "hater")
        assert rows(screen)[0].startswith("heater for hater: 1 line")
        await screen.press("enter")
        assert screen.app.screen.query_one("#find-line", Input).value == "heater"
        assert "dew heater slips" in rows(screen)[0]


async def test_a_filter_in_the_way_is_proposed_to_be_taken_off(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        await screen.press("tab", "enter", *"trou", "enter")
        await type_words(screen, "clouds")
        assert rows(screen)[0].startswith("any kind, not only trouble: 1 line")
        await screen.press("enter")
        assert not screen.app.screen.query_one("#find-only").display
        assert "clouds from the west" in rows(screen)[0]


async def test_an_earlier_writing_is_shown_as_such(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        said = await type_words(screen, "marten")
        assert said == "1 line that was corrected or withdrawn since."
        assert "[corrected]" in rows(screen)[0]
        assert "corrected since: note a cat on the roof" in screen.words("#live-about")


async def test_hostile_words_are_data(tmp_path: Path) -> None:
    hostile = ('"', "%", "*", "[/b]", 'NEAR("', "\x1b[31m", "a OR", "-x ^y", "words:z", "[bold]")
    async with searching(tmp_path) as screen:
        for typed in hostile:
            await type_words(screen, typed)
            assert isinstance(screen.app.screen, SearchSheet), typed
            assert "failed" not in screen.words("#live-about"), typed
        await type_words(screen, "[link=x]")
        assert "[/b]red[link=x] OR NEAR( %s" in rows(screen)[0]


async def test_an_empty_book_says_what_to_do_first(tmp_path: Path) -> None:
    async with searching(tmp_path, filled=False) as screen:
        assert "F10 begins a night" in screen.words("#live-top")
        assert "F10 begins a night" in await type_words(screen, "dew")


async def test_keys_without_anything_to_do_do_no_harm(tmp_path: Path) -> None:
    async with searching(tmp_path) as screen:
        await screen.press("up", "down", "pageup", "pagedown", "enter", "ctrl+r", "shift+tab")
        assert "No filter is in force" in screen.words("#live-about")
        await screen.press("f1")
        assert "an earlier writing" in screen.words(".sheet")
        await screen.press("escape")
        await type_words(screen, " ".join("abcdefghijklmn"))
        assert "At most 12" in screen.words("#live-top")


@pytest.mark.parametrize("size", [(60, 16), (120, 40)])
async def test_the_sheet_fits_small_and_wide_terminals(
    size: tuple[int, int], tmp_path: Path
) -> None:
    async with searching(tmp_path, size) as screen:
        await type_words(screen, "dew")
        assert len(rows(screen)) == 6
        assert "Escape closes" in screen.words("#live-keys")
        await screen.press("tab", "down", "enter")
        assert "Andromeda Galaxy  2 lines" in screen.words("#pick-list")


@pytest.mark.parametrize(
    ("typed", "first", "last"),
    [
        ("2024", date(2024, 1, 1), date(2024, 12, 31)),
        ("2024-02", date(2024, 2, 1), date(2024, 2, 29)),
        ("2024-12", date(2024, 12, 1), date(2024, 12, 31)),
        ("2024-05-17", date(2024, 5, 17), date(2024, 5, 17)),
    ],
)
def test_a_month_or_a_year_is_taken_whole(typed: str, first: date, last: date) -> None:
    assert day_typed(typed, date(2026, 11, 9), last=False) == first
    assert day_typed(typed, date(2026, 11, 9), last=True) == last
