"""The Past page: every night in a line, and the way to whatever looks back over them."""

from pathlib import Path

import pytest

from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, TargetCopy
from logbook.screen.pages.past import nights
from logbook.screen.services import book_snapshot
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import LONG_NOTE, begin_night, build_book, opened

GALAXY = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def empty(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "night.db", clock)


@pytest.fixture
def season(empty: Path, clock: Clock) -> Path:
    """Two nights that ended: one with frames of a galaxy and a long note, one with a note."""
    night_id = begin_night(empty, clock)
    with open_book(empty, clock=clock) as book:
        start = NewEntry("object", clock.forward(minutes=5), "start m31", "start", GALAXY)
        frames = NewEntry(
            "frames", clock.forward(hours=1), "20 x 180s", frames=Frames(20, 180.0, "Ha")
        )
        note = NewEntry("note", clock.forward(minutes=1), f"note {LONG_NOTE}")
        for entry in (start, frames, note):
            book.timeline.keep(night_id, entry)
        book.nights.end(night_id, clock.forward(hours=1))
    clock.forward(days=7)
    second = begin_night(empty, clock)
    with open_book(empty, clock=clock) as book:
        book.timeline.keep(second, NewEntry("note", clock.forward(minutes=1), "note only cloud"))
        book.nights.end(second, clock.forward(minutes=30))
    return empty


async def test_an_empty_book_says_what_to_do_first(empty: Path, clock: Clock) -> None:
    async with opened(empty, clock, "past") as it:
        assert "No nights yet: F10 starts the first one." in it.page
        await it.press("enter", "right", "escape")
        assert "No nights yet" in it.page


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_nights_are_listed_newest_first(
    season: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(season, clock, "past", size) as it:
        head, first, second, *_ = it.page.splitlines()
        assert head == "2 nights, newest first. Enter reads one."
        assert first.startswith("Sat 11 Oct 2025 no object")
        assert second.startswith("Sat 04 Oct 2025 Andromeda Galaxy · 20 frames, 1 h 00 min")


async def test_a_night_is_read_whole_and_escape_goes_back(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past", (120, 40)) as it:
        await it.press("down", "enter")
        assert it.words("#live-heading") == "Night of Saturday 4 October 2025, Mill Hill"
        words = " ".join(it.words("#paper-rows").split())
        assert "R. Quill" in words
        assert "Long train, revision 1, 1626 mm, f/8.0" in words
        assert "3 entries, 1 object, 20 frames, 1 h 00 min exposed." in words
        await it.press("end")
        words = " ".join(it.words("#paper-rows").split())
        assert "21:05 19:05 Andromeda Galaxy started" in words
        assert "22:05 20:05 20 × 180 s Ha (1 h 00 min)" in words
        assert LONG_NOTE in words
        await it.press("escape")
        assert "2 nights, newest first" in it.page


async def test_a_marked_night_is_compared_with_another_one(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past", (120, 40)) as it:
        await it.press("c")
        assert "2025-10-11 is marked: c on another night compares." in it.page
        await it.press("escape")
        assert "marked" not in it.page
        await it.press("c", "down", "c")
        assert it.words("#live-heading") == "11 October 2025 beside 4 October 2025"
        await it.press("escape")
        assert "marked" not in it.page


async def test_one_night_alone_says_what_comparing_needs(empty: Path, clock: Clock) -> None:
    begin_night(empty, clock)
    async with opened(empty, clock, "past") as it:
        await it.press("c")
        assert "Comparing needs two nights; the book has one." in it.page
        await it.press("g")
        words = " ".join(it.words("#live-top").split())
        assert "No night before 2025-10-04 was good enough to go by. Good is a night" in words
        await it.press("escape", "up")
        assert "1 night, newest first" in it.page


async def test_keys_lead_to_the_pages_over_all_nights(season: Path, clock: Clock) -> None:
    leads = {
        ("t",): "Trends, October 2025 to October 2025: the last three years",
        ("y",): "2025",
        ("o", "enter"): "Andromeda Galaxy",
        ("p", *"chip", "enter"): "Small Chip",
        ("r", *"long", "enter"): "Long train",
        ("l",): "Learned from readings, 2025-10-11",
    }
    async with opened(season, clock, "past", (120, 40)) as it:
        for keys, heading in leads.items():
            await it.press(*keys)
            assert heading in it.words("#live-heading")
            await it.press("escape")
            assert "2 nights, newest first" in it.page


async def test_every_key_of_an_empty_book_says_what_to_do_first(empty: Path, clock: Clock) -> None:
    async with opened(empty, clock, "past") as it:
        await it.press("o")
        assert "No object was logged yet: `start m31` on the entry line begins one." in it.page
        for key in ("enter", "c", "g", "t", "y", "l", "left", "right", "end"):
            await it.press("escape", key)
            assert "No nights yet: F10 starts the first one." in it.page


async def test_every_night_of_a_long_book_can_be_reached(
    empty: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in (book_snapshot, nights):
        monkeypatch.setattr(module, "NIGHTS_LISTED", 15)
    with open_book(empty, clock=clock) as book:
        for _ in range(40):
            night = book.nights.start(book.sites.all()[0].id, None, "R. Quill", clock())
            note = NewEntry("note", clock.forward(minutes=1), "note only cloud")
            book.timeline.keep(night.id, note)
            book.nights.end(night.id, clock.forward(minutes=1))
            clock.forward(days=17)
    async with opened(empty, clock, "past") as it:
        assert len(it.app.desk.view.nights) == 15
        assert "40 nights, newest first" in it.page
        await it.press("end")
        assert "Sat 04 Oct 2025 no object · 1 entries" in it.page
        await it.press("home", "left", "enter")
        assert "December 2026, Mill Hill" in it.words("#live-heading")


async def test_last_years_night_shows_the_train_as_it_was(season: Path, clock: Clock) -> None:
    with open_book(season, clock=clock) as book:
        tube = book.kit.part_named("Long Tube")
        newer = Part("Long Tube", "telescope").with_number("aperture_mm", 203)
        book.kit.revise_part(tube.id, newer.with_number("focal_length_mm", 1800), "other mirror")
    async with opened(season, clock, "kit", (120, 40)) as it:
        assert "1800 mm" in it.page
        await it.press("f6", "enter")
        assert "revision 1, 1626 mm" in " ".join(it.words("#paper-rows").split())


async def test_a_night_in_view_follows_what_is_kept(season: Path, clock: Clock) -> None:
    clock.forward(days=1)
    begin_night(season, clock)
    async with opened(season, clock, "past") as it:
        await it.press("enter")
        assert "Nothing was logged." in it.words("#paper-rows")
        await it.enter("note clear again")
        assert "clear again" in it.words("#paper-rows")


async def test_hostile_names_are_shown_as_they_are(season: Path, clock: Clock) -> None:
    night_id = begin_night(season, clock)
    with open_book(season, clock=clock) as book:
        entry = NewEntry("note", clock(), "note [/] [blink]x[/blink]")
        book.timeline.keep(night_id, entry)
    async with opened(season, clock, "past") as it:
        await it.press("enter", "end")
        assert "[/] [blink]x[/blink]" in it.words("#paper-rows")
