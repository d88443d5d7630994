"""Pages of looking back, read on the screen: links, the way back, two nights, spans, files."""

from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.records.entries import NewEntry, TargetCopy
from logbook.report.render.keys import PageKey
from logbook.screen.dialogs.paper_sheet import PaperSheet
from logbook.screen.widgets.rows_view import RowsView
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.widgets.test_red import leaks

GALAXY = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)
LINES = 60


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def season(tmp_path: Path, clock: Clock) -> Path:
    """Three nights a week apart, with star images of 2.0, 2.1 and 3.5″; the last is a long one."""
    path = build_book(tmp_path / "night.db", clock)
    for width_arcsec in (2.0, 2.1, 3.5):
        night_id = begin_night(path, clock)
        with open_book(path, clock=clock) as book:
            start = NewEntry("object", clock.forward(minutes=5), "start m31", "start", GALAXY)
            read = (("fwhm_arcsec", width_arcsec), ("seeing_of_five", 4.0))
            book.timeline.keep(night_id, start)
            book.timeline.keep(
                night_id, NewEntry("reading", clock.forward(minutes=5), "as read", readings=read)
            )
            for number in range(LINES if width_arcsec > 3.0 else 1):
                words = f"note line {number} of this night"
                book.timeline.keep(night_id, NewEntry("note", clock.forward(minutes=1), words))
            book.nights.end(night_id, clock.forward(minutes=5))
        clock.forward(days=7 - 1)
        clock.forward(minutes=60 * 22)
    return path


async def read(it: OnScreen, key: PageKey, at_entry_id: int | None = None) -> None:
    it.app.push_screen(PaperSheet(it.app.desk, key, at_entry_id=at_entry_id))
    await it.settle()


def heading(it: OnScreen) -> str:
    return it.words("#live-heading").strip()


def rows(it: OnScreen) -> str:
    return it.words("#paper-rows")


def top_row(it: OnScreen) -> int:
    return round(it.app.screen.query_one(RowsView).scroll_offset.y)


async def test_links_lead_on_and_escape_leads_back_to_where_one_was(
    season: Path, clock: Clock
) -> None:
    async with opened(season, clock, "past") as it:
        await it.press("enter", "pagedown", "down", "down")
        night, left_at = heading(it), top_row(it)
        assert left_at > 2
        await it.press("1")
        assert heading(it).startswith("Andromeda Galaxy")
        assert top_row(it) == 0
        await it.press("tab", "down", "enter")
        assert heading(it) != night
        await it.press("escape")
        assert heading(it).startswith("Andromeda Galaxy")
        await it.press("escape")
        assert (heading(it), top_row(it)) == (night, left_at)
        await it.press("escape")
        assert "3 nights, newest first" in it.page


async def test_q_closes_from_wherever_the_links_led(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past") as it:
        await it.press("enter", "1", "1", "q")
        assert "3 nights, newest first" in it.page


@pytest.mark.parametrize("number", [40, LINES - 1])
async def test_an_entry_that_was_asked_for_is_in_view_and_marked(
    season: Path, clock: Clock, number: int
) -> None:
    async with opened(season, clock, "past") as it:
        night = it.book.past.places()[-1]
        timeline = it.book.timeline.of_night(night.id)
        wanted = next(each for each in timeline if f"line {number} " in each.content.text)
        await read(it, PageKey("night", night.local_date.isoformat(), night.id), wanted.id)
        assert f"line {number} of this night" in rows(it)
        marked = "".join(
            segment.text
            for strip in it.app.screen._compositor.render_strips()
            for segment in strip
            if segment.style is not None and segment.style.reverse
        )
        assert f"line {number} of this night" in marked
        assert marked.count("of this night") == 1


async def test_an_entry_that_is_no_longer_there_does_no_harm(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past") as it:
        await read(it, PageKey("night", ""), 999_999)
        assert heading(it).startswith("Night of")
        assert top_row(it) == 0


async def test_arrows_step_from_night_to_night(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past") as it:
        first, second, third = (each.local_date.day for each in it.book.past.places())
        await it.press("enter")
        assert f" {third} October" in heading(it)
        await it.press("right")
        assert "There is none after it." in it.words("#live-about")
        await it.press("left", "left")
        assert f" {first} October" in heading(it)
        await it.press("right")
        assert f" {second} October" in heading(it)
        await it.press("escape")
        assert "3 nights, newest first" in it.page


async def test_the_last_good_night_is_one_key_away_and_told(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past", (120, 40)) as it:
        await it.press("enter", "g")
        words = " ".join(rows(it).split())
        assert "the worse night" in words
        assert "is the last good night before it: star images 2.00″ wide" in words
        assert "Good is a night whose star images" in words


async def test_a_page_that_cannot_be_says_why_and_the_one_in_view_stays(
    season: Path, clock: Clock
) -> None:
    async with opened(season, clock, "past") as it:
        await it.press("end", "enter")
        night = heading(it)
        await it.press("g")
        assert "was good enough to go by" in " ".join(it.words("#live-about").split())
        assert heading(it) == night
        await it.press("escape")
        assert "3 nights, newest first" in it.page


async def test_a_page_that_is_not_there_says_what_to_do(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past") as it:
        await read(it, PageKey("night", "1999-01-01"))
        assert "There is no night of 1999-01-01. The nearest nights are" in it.words("#live-top")
        await it.press("g", "w", "l", "1", "left", "tab", "escape")
        assert "3 nights, newest first" in it.page


@pytest.mark.parametrize(("columns", "beside"), [(120, True), (80, False)])
async def test_two_nights_stand_side_by_side_where_there_is_room(
    season: Path, clock: Clock, columns: int, beside: bool
) -> None:
    async with opened(season, clock, "past", (columns, 40)) as it:
        await it.press("c", "down", "c", "end")
        heads = [line for line in rows(it).splitlines() if "in its own words" in line]
        assert heads
        assert all(line.count("in its own words") == 1 + beside for line in heads)


async def test_on_a_narrow_screen_the_numbers_of_two_nights_stand_below_each_other(
    season: Path, clock: Clock
) -> None:
    async with opened(season, clock, "past", (60, 16)) as it:
        first, second = (each.local_date for each in it.book.past.places()[-2:])
        await it.press("c", "down", "c")
        lines = [each.plain for each in it.app.screen.query_one(RowsView)._lines]
        sites = [line for line in lines if line.startswith("site ")]
        assert [line.split() for line in sites] == [["site", "Mill", "Hill"]] * 2
        assert lines.index(str(first)) < lines.index(str(second))


async def test_trends_have_spans_that_arrows_choose(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past") as it:
        await it.press("t")
        assert heading(it).endswith("the last three years")
        assert "Seeing as judged" in rows(it)
        await it.press("left")
        assert heading(it).endswith("all years")
        await it.press("right", "right")
        assert heading(it).endswith(": 2025")


async def test_a_page_is_drawn_anew_when_the_window_changes(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past", (120, 40)) as it:
        await it.press("t")
        wide = max(len(line) for line in rows(it).splitlines())
        await it.pilot.resize_terminal(60, 16)
        await it.settle()
        narrow = max(len(line) for line in rows(it).splitlines())
        assert narrow <= 56 < wide


async def test_the_page_in_view_is_written_to_a_file(
    season: Path, clock: Clock, tmp_path: Path
) -> None:
    async with opened(season, clock, "past") as it:
        await it.press("enter")
        for ending in ("txt", "md", "json", "html"):
            target = tmp_path / f"page.{ending}"
            await it.press("w")
            it.app.screen.query_one("#field-file", Input).value = str(target)
            await it.press("ctrl+o")
            assert "Written:" in it.words("#live-about")
            assert "line 40 of this night" in target.read_text(encoding="utf-8")


async def test_a_file_that_is_no_report_is_only_written_over_when_told_to(
    season: Path, clock: Clock, tmp_path: Path
) -> None:
    target = tmp_path / "letter.txt"
    target.write_text("dear aunt", encoding="utf-8")
    async with opened(season, clock, "past") as it:
        await it.press("enter", "w")
        it.app.screen.query_one("#field-file", Input).value = str(target)
        await it.press("ctrl+o")
        words = " ".join(it.words("#form-foot").split())
        assert "is no report of this program" in words
        assert "in a form: yes" in words
        assert target.read_text(encoding="utf-8") == "dear aunt"
        it.app.screen.query_one("#field-over", Input).value = "yes"
        await it.press("ctrl+o")
        assert "Written:" in it.words("#live-about")
        assert "line 40 of this night" in target.read_text(encoding="utf-8")


async def test_f1_tells_the_keys_of_reading(season: Path, clock: Clock) -> None:
    async with opened(season, clock, "past") as it:
        await it.press("enter", "f1")
        words = it.words(".sheet")
        assert "Reading a page" in words
        assert "write the page to a file" in words
        await it.press("escape")
        assert heading(it).startswith("Night of")


@pytest.mark.parametrize("size", [(60, 16), (80, 24), (120, 40)])
async def test_every_page_is_red_and_fits_at_every_size(
    season: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(season, clock, "past", size) as it:
        await it.press("f7", "c")
        assert leaks(it.app) == [], "the list, with a night marked"
        await it.press("escape")
        for keys in (("enter",), ("g",), ("t",), ("y",), ("o", "enter"), ("p", "enter")):
            await it.press(*keys)
            assert leaks(it.app) == [], keys
            assert len(it.words("#live-keys").splitlines()) == 1, keys
            await it.press("tab")
            assert leaks(it.app) == [], keys
            await it.press("q")
        await it.press("enter", "w")
        assert leaks(it.app) == []
