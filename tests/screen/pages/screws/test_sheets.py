"""Sheets of the Screws page: ways back, two pictures, checks afterwards, the field, the history."""

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from astropy.io import fits
from textual.widgets import Input

from logbook.records.entries import EntryRecord, LookDetail, NewEntry, StarLook
from logbook.screen.pages.screws.compare import compared
from logbook.screen.pages.screws.field import field_lines, field_words
from logbook.screen.pages.screws.history import holds_words, plot_lines
from logbook.startest.field.result import FieldMap, Zone
from logbook.store.history.collimation import Holds, OffsetPoint
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.star_pictures import star_picture


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_night(tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = build_book(tmp_path / "night.db", clock)
    begin_night(path, clock)
    return path


def turns_kept(it: OnScreen) -> list[tuple[str, float]]:
    turns = (each.content.turn for each in it.timeline)
    return [(turn.screw, turn.turns) for turn in turns if turn is not None]


# --- ways back ---


async def log(it: OnScreen, clock: Clock, *lines: str) -> None:
    for line in lines:
        clock.forward(minutes=3)
        await it.enter(line)


@pytest.mark.slow
async def test_the_way_back_to_the_start_goes_turn_by_turn(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await log(it, clock, "turn A tighten 1/8", "turn B loosen 1/16")
        await it.press("z")
        words = it.words(".sheet")
        assert "the start" in words
        assert "2 turns" in words
        await it.press("end", "enter")
        for left in (2, 1):
            assert f"Way back, {left} turn" in it.page
            clock.forward(minutes=1)
            await it.turned()
            await it.yes("b")  # what a turn did may be answered on the way
        assert "Way back" not in it.page
        sums = {each.screw: each.turns for each in it.book.timeline.screw_sums(1)}
        assert sums == {"A": pytest.approx(0.0), "B": pytest.approx(0.0)}


async def test_the_way_back_leads_to_an_earlier_look_too(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await log(it, clock, "turn A tighten 1/8", "shadow 0.1 toward 3 o'clock")
        await log(it, clock, "turn A tighten 1/16")
        await it.press("z", "enter")
        assert " A loosen 1/16 " in it.page
        await it.press("escape")
        assert "Way back" not in it.page


async def test_without_turns_or_pictures_the_sheets_say_so(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("z", "enter")
        assert "the start" in it.words(".sheet")
        assert "here now" in it.words(".sheet")
        await it.press("escape", "v")
        assert "m measures one" in it.words(".sheet")


# --- two pictures ---


@pytest.mark.slow
async def test_two_pictures_stand_side_by_side(by_night: Path, clock: Clock) -> None:
    star_picture(by_night.parent / "a.png", (0.3, 0.0))
    star_picture(by_night.parent / "b.png", (0.1, 0.0))
    async with opened(by_night, clock, "screws") as it:
        for name in ("a.png", "b.png"):
            await it.press("m")
            it.app.screen.query_one("#measure-path", Input).value = name
            await it.press("enter")
            await it.press("enter")
            clock.forward(minutes=5)
        await it.press("v")
        assert "▀" in it.words("#pair-left")
        assert "▀" in it.words("#pair-right")
        before, after = (each.content.look for each in it.timeline)
        assert before is not None
        assert after is not None
        assert f"shadow {before.offset_fraction:.3g}" in it.words("#pair-left-words")
        assert f"shadow {after.offset_fraction:.3g}" in it.words("#pair-right-words")
        (by_night.parent / "a.png").unlink()
        await it.press("down")
        assert "a.png: refused" in it.words("#pair-right-words")


# --- afterwards ---


@pytest.mark.slow
async def test_an_in_focus_check_is_kept_and_listed(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("o", "i", *"flared", "down", "4", "ctrl+o")
        check = it.timeline[-1].content.check
        assert check is not None
        assert check.verdict == "flared"
        assert check.position_angle_deg == pytest.approx(30.0)
        await it.press("o")
        assert "flared" in it.words("#after-words")


async def test_a_tilt_plate_is_logged_the_same_way(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("o", "t", "down", *"4 o'clock", "down", *"-0.25", "ctrl+o")
        made = it.timeline[-1].content.adjustment
        assert made is not None
        assert (made.what, made.place, made.amount, made.unit) == (
            "tilt plate", "4 o'clock", -0.25, "turn",
        )  # fmt: skip


async def test_looks_on_both_sides_of_the_pier_are_set_against_each_other(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "screws") as it:
        await it.press("o", "e", "l", "right", "right", "enter")
        clock.forward(minutes=5)
        await it.press("o", "w", "l", "right", "right", "right", "right", "enter", "o")
        words = " ".join(it.words(".sheet").split())
        assert "pier east and west: 0.200 ± 0.057 apart (1 and 1 looks)" in words
        assert "focuser or mirror sags" in words


def look_of(offset: float, angle_deg: float, **detail: object) -> EntryRecord:
    looked = StarLook(offset, angle_deg, 0.01, detail=LookDetail(**detail))  # type: ignore[arg-type]
    return EntryRecord(1, "x", 1, EVENING, NewEntry("star", EVENING, "", look=looked))


def test_a_difference_within_the_scatter_is_not_claimed() -> None:
    looks = [look_of(0.10, 0.0, pier_side="east"), look_of(0.11, 0.0, pier_side="west")]
    assert "no difference shown" in compared(looks)[1]


def test_high_and_low_stars_show_sag() -> None:
    looks = [look_of(0.02, 0.0, altitude_deg=75.0), look_of(0.12, 90.0, altitude_deg=30.0)]
    assert "toward 6:" in compared(looks)[3]
    assert "sags with altitude" in compared(looks)[3]


# --- the field ---


def star_field(path: Path) -> Path:
    """An invented frame of round stars that widen toward the right."""
    rows, columns = np.indices((300, 400), dtype=float)
    random = np.random.default_rng(2)
    frame = random.normal(500.0, 5.0, rows.shape)
    for x in range(30, 400, 45):
        for y in range(30, 300, 45):
            sigma = 1.6 + 1.2 * x / 400
            light = random.uniform(2000.0, 9000.0)
            frame += light * np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / (2 * sigma**2))
    fits.PrimaryHDU(np.clip(frame, 0, 65535).astype(np.uint16)).writeto(path)
    return path


async def test_the_stars_over_a_frame_are_drawn_as_a_map(by_night: Path, clock: Clock) -> None:
    star_field(by_night.parent / "field.fits")
    async with opened(by_night, clock, "screws") as it:
        await it.press("o", "c", *"field.fits", "enter")
        words = " ".join(it.words("#field-words").split())
        assert "″ wide" in words
        assert "toward the right" in words
        assert it.words("#field-map").count("″") == 9
        await it.press("escape", "c", *"no.fits", "enter")
        assert "There is no picture there." in it.words(".sheet")


def test_a_zone_is_drawn_as_wide_and_as_long_as_its_stars() -> None:
    zones = tuple(
        Zone(row, column, 3, 2.0 + column, 0.0, 0.0) for row in range(3) for column in range(3)
    )
    found = FieldMap(ok=True, stars=27, fwhm_px=3.0, zones=zones, words=("even",))
    lines = field_lines(found, 48, 18)
    assert len(lines) == 18
    left, right = ("".join(line[a:b] for line in lines) for a, b in ((0, 16), (32, 48)))
    assert sum(each > "⠀" for each in right) > sum(each > "⠀" for each in left)
    assert "27 stars, 3.00 px wide" in field_words(found).plain
    assert field_lines(FieldMap(ok=False, reason="no star"), 48, 18) == []


# --- history ---


def point(month: int, first: float, last: float, *events: str) -> OffsetPoint:
    at = datetime(2025, month, 1, 21, tzinfo=UTC)
    return OffsetPoint(month, at.date(), at, first, last, 2, events, float(month))


async def test_the_season_is_plotted_with_what_happened(by_night: Path, clock: Clock) -> None:
    with open_book(by_night, clock=clock) as book:
        for night in range(3):
            for offset in (0.2, 0.05):
                at = clock.forward(minutes=5)
                look = StarLook(offset + 0.01 * night, 90.0)
                book.timeline.keep(night + 1, NewEntry("star", at, "shadow", look=look))
            book.nights.end(night + 1, clock())
            clock.forward(days=30)
            begin_night(by_night, clock)
    async with opened(by_night, clock, "screws") as it:
        await it.press("h")
        words = it.words(".sheet")
        assert words.count("●") >= 3
        assert "0.22 → 0.07" in words
        assert "from night to night" in " ".join(words.split())


def test_the_plot_stands_as_the_numbers_do() -> None:
    points = (point(3, 0.2, 0.05), point(5, 0.1, 0.02, "transport"), point(7, 0.05, 0.02))
    lines = plot_lines(points, 60, 10)
    firsts = [(row, line.index("○")) for row, line in enumerate(lines) if "○" in line]
    assert [row for row, _ in firsts] == sorted(row for row, _ in firsts)
    assert firsts[0][0] == 0
    assert lines[-2].count("▲") == 1
    assert "Mar 2025" in lines[-1]
    assert "▁" in lines[-3]
    assert "█" in lines[-3]
    assert plot_lines((), 60, 10) == []


def test_one_night_is_a_plot_too() -> None:
    assert "●" in "\n".join(plot_lines((point(3, 0.0, 0.0),), 30, 8))


def test_how_long_it_holds_is_told_only_where_it_is_known() -> None:
    assert "not known yet" in holds_words(Holds(None, None, None, None, 1, 0))
    said = holds_words(Holds(3.0, 20.0, 0.012, 0.08, 9, 2))
    for each in ("3 nights", "20 days", "+0.012", "+0.080", "9 nights"):
        assert each in said
