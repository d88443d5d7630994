"""The Night page: the user types at once, and nothing that was saved is lost sight of."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from logbook.records.entries import Frames, NewEntry, TargetCopy
from logbook.screen.pages.night.page import NightPage
from logbook.screen.pages.night.words import now_words
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.sky.altitude.track import Standing, Track
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import LONG_NOTE, begin_night, build_book, opened

SIZES = [(60, 16), (80, 24), (120, 40)]


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_day(tmp_path: Path, clock: Clock) -> Path:
    return build_book(tmp_path / "night.db", clock)


@pytest.fixture
def by_night(by_day: Path, clock: Clock) -> Path:
    begin_night(by_day, clock)
    return by_day


async def test_by_day_the_page_says_how_a_night_begins(by_day: Path, clock: Clock) -> None:
    async with opened(by_day, clock, "night") as it:
        assert "No night in progress. F10 starts one." in it.page
        assert "The last was" not in it.page


async def test_by_day_the_page_tells_the_last_night_in_a_line(by_day: Path, clock: Clock) -> None:
    night_id = begin_night(by_day, clock)
    with open_book(by_day, clock=clock) as book:
        book.nights.end(night_id, clock.forward(hours=3))
    async with opened(by_day, clock, "night") as it:
        assert "The last was 2025-10-04" in it.page


async def test_in_a_night_the_owner_types_at_once(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press(*"note cold", "enter")
        assert [each.content.text for each in it.timeline] == ["note cold"]
        assert "21:00 cold" in it.page


async def test_what_runs_now_is_told_with_its_frames(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        clock.forward(minutes=42)
        await it.enter("10 x 180s Ha")
        now = it.words("#night-now")
        assert "Now: Andromeda Galaxy for 42 min, since 21:00: 10 frames, 30 min" in now
        assert it.words("#night-sums") == "2 entries, 1 object, 10 frames, 30 min exposed"


def track_from(start: datetime) -> Track:
    """It climbs 10° an hour from 30° for ten hours; the meridian after 3 hours, gone after 6."""
    steps = range(10 * 30)
    return Track(
        start_utc=start,
        standings=tuple(
            Standing(30 + each / 3, 2.0 - each / 300, 10.0, 50.0, True) for each in steps
        ),
        transits_utc=(start + timedelta(hours=3),),
        sets_utc=(start + timedelta(hours=6),),
        rises_utc=(),
    )


async def test_what_the_sky_does_to_what_runs_is_told_now(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        it.app.desk.track = track_from(clock.now)
        clock.forward(minutes=31)
        words = str(now_words(it.app.desk))
        assert "35° high, airmass 1.95, meridian in 2 h 29 min, good 5 h 29 min" in words
        assert "Moon 50°" in words
        clock.forward(hours=4)
        assert "meridian 1 h 31 min ago" in str(now_words(it.app.desk))


@pytest.mark.parametrize("size", SIZES)
async def test_a_long_note_is_read_whole_at_every_size(
    by_night: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(by_night, clock, "night", size) as it:
        await it.enter(f"note {LONG_NOTE}")
        shown = " ".join(it.words("#night-list").split())
        assert LONG_NOTE in shown


async def test_the_newest_entry_is_in_view(by_night: Path, clock: Clock) -> None:
    with open_book(by_night, clock=clock) as book:
        for number in range(30):
            entry = NewEntry("note", clock.forward(minutes=1), f"note number {number}")
            book.timeline.keep(1, entry)
    async with opened(by_night, clock, "night") as it:
        assert "number 29" in it.words("#night-list")
        clock.forward(minutes=1)
        await it.enter("note the last")
        assert "the last" in it.words("#night-list")


async def test_a_wide_screen_shows_utc_and_the_kind_of_entry(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night", (120, 40)) as it:
        await it.enter("focus 12345")
        assert "21:00 19:00 UTC  focus      focus position 12345" in it.page
    async with opened(by_night, clock, "night") as it:
        assert "UTC" not in it.words("#night-list")


async def test_r_logs_the_last_frames_once_more(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press("escape", "r")
        assert "No frames logged yet tonight" in it.said
        await it.enter("20 x 180s Ha gain 100 bin 2")
        await it.yes("r")
        first, second = it.timeline
        assert first.content.frames == second.content.frames
        assert first.content.frames is not None
        assert (first.content.frames.count, first.content.frames.gain) == (20, 100.0)


async def test_d_withdraws_the_chosen_entry_and_f8_brings_it_back(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note first")
        clock.forward(minutes=1)
        await it.enter("note second")
        await it.press("escape", "up", "d", "enter")
        assert [each.content.text for each in it.timeline] == ["note second"]
        assert "F8 brings it back" in it.said
        await it.press("f8")
        assert [each.content.text for each in it.timeline] == ["note first", "note second"]


async def test_a_correction_is_marked_and_h_tells_every_version(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("turn A tighten 1/8")
        clock.forward(minutes=2)
        await it.enter("better")
        assert "21:00 A tightened 1/8 turn, better (corrected)" in it.page
        await it.press("escape", "h")
        sheet = it.words(".sheet")
        assert "21:00:00 written  for 21:00: A tightened 1/8 turn" in sheet
        assert "21:02:00 corrected  for 21:00: A tightened 1/8 turn, better" in sheet
        await it.press("escape")
        assert it.app.screen.query(NightPage)


async def test_n_begins_a_note_and_up_brings_back_what_escape_cleared(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press("escape", "n")
        assert it.line == "note "
        await it.press(*"windy", "escape")
        assert it.line == ""
        await it.press("up")
        assert it.line == "note windy"
        assert it.app.query_one(EntryBar).line.has_focus


async def test_e_corrects_and_keeps_the_old_text(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note wind")
        await it.press("escape", "e", "end", *" rises", "enter")
        (entry,) = it.timeline
        assert entry.content.text.endswith("note wind rises")
        assert "wind rises (corrected)" in it.page
        assert it.book.timeline.history(entry.id)[0].content.text == "note wind"


async def test_a_correction_of_frames_leaves_them_with_their_own_object(
    by_night: Path, clock: Clock
) -> None:
    moon = TargetCopy("Moon", "Moon", "moon", None, None)
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        clock.forward(minutes=1)
        await it.enter("20 x 180s")
        clock.forward(minutes=70)
        await it.enter("start moon")
        await it.press("escape", "up", "e", "end", *" gain 100")
        assert "of Andromeda Galaxy" in " ".join(it.words("#said-line").split())
        await it.press("enter")
        (frames,) = (each for each in it.timeline if each.content.frames)
        assert frames.content.frames == Frames(20, 180.0, gain=100.0)
        assert frames.content.target is not None
        assert frames.content.target.name == "Andromeda Galaxy"
        assert it.timeline[-1].content.target == moon


async def test_a_narrow_screen_shows_as_much_of_a_corrected_line_as_it_can(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night", (60, 16)) as it:
        await it.enter("air 6.8 mirror 7.8 humidity 91")
        await it.press("escape", "e")
        assert "air 6.8 mirror 7.8 humidity 91" in it.words("#field-line")


async def test_a_correction_without_a_change_is_not_kept(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note wind")
        await it.press("escape", "e", "enter")
        assert "nothing is different" in it.words(".sheet")
        assert it.timeline[0].supersedes_id is None


async def test_leaving_the_correction_changes_nothing(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note wind")
        await it.press("escape", "e", "x", "escape")
        assert [each.content.text for each in it.timeline] == ["note wind"]


async def test_bare_keys_type_while_the_line_has_the_cursor(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note stays")
        await it.press("d", "h", "r", "e")
        assert it.line == "dhre"
        assert len(it.timeline) == 1


async def test_hostile_words_are_shown_as_they_are(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note [/bold] [red]not markup[/red]")
        assert "[/bold] [red]not markup[/red]" in it.page
