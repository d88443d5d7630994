"""The night in progress: what runs, reminders, one-key entries, moving, the big letters."""

from datetime import timedelta
from pathlib import Path

import pytest
from textual.widgets import Input

from logbook.records.choosing import OrderItem
from logbook.records.entries import NewEntry, TargetCopy
from logbook.screen.pages.night.big_display import FarView, far_words
from logbook.screen.pages.night.forms import MoveForm, RemindersForm
from logbook.screen.pages.night.night_form import EndNight, StartNight
from logbook.screen.pages.night.reminding import Wishes, read_wishes, reminders
from logbook.screen.services.clock_watch import ClockWatch
from logbook.screen.services.messages import BookChanged
from logbook.store.choosing.projects import Projects
from logbook.store.opening import open_book
from logbook.store.upkeep.rules import UpkeepRule
from tests.clock import EVENING, Clock
from tests.screen.book_on_screen import OnScreen, begin_night, build_book, opened
from tests.screen.pages.night.test_page import track_from
from tests.screen.widgets.test_red import leaks

SIZES = [(60, 16), (80, 24), (120, 40)]
M33 = TargetCopy("NGC0598", "Triangulum Galaxy", "galaxy", 23.46, 30.66)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def by_night(tmp_path: Path, clock: Clock) -> Path:
    path = build_book(tmp_path / "night.db", clock)
    begin_night(path, clock)
    return path


def reminded(it: OnScreen) -> list[str]:
    return [each.words for each in reminders(it.app.desk)]


async def test_frames_under_way_are_counted_by_the_clock(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        await it.enter("start 30 x 180s")
        assert "0 of 30 frames, through at 22:30" in it.words("#night-now")
        clock.forward(minutes=10)
        it.app.redraw()
        await it.settle()
        assert "about 3 of 30 frames, through at 22:30" in it.words("#night-now")
        clock.forward(minutes=85)
        assert reminded(it) == ["The frames should be through since 22:30: 30 wanted."]


async def test_plus_counts_the_last_frames_up_and_keeps_the_old_count(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press("escape")
        await it.yes("+")
        assert "nothing to count up" in it.said
        await it.enter("start m31")
        await it.enter("4/30 x 180s Ha; first of the night")
        await it.yes("+", "+")
        (entry,) = (each for each in it.timeline if each.content.frames)
        assert entry.content.frames is not None
        assert (entry.content.frames.count, entry.content.frames.wanted_count) == (6, 30)
        assert entry.content.text == "6 of 30 × 180 s Ha; first of the night"
        first, *_ = it.book.timeline.history(entry.id)
        assert first.content.text == "4/30 x 180s Ha; first of the night"


async def test_one_key_marks_cloud_meridian_break_start_and_end(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.press("escape", "s")
        assert it.line == "start "
        await it.press(*"m31", "enter", "escape")
        for key in ("c", "C", "m", "b", "b", "s"):
            clock.forward(minutes=1)
            await it.yes(key)
        told = [(each.content.kind, each.content.action) for each in it.timeline]
        assert told == [
            ("object", "start"),
            ("conditions", None),
            ("conditions", None),
            ("meridian", None),
            ("break", "start"),
            ("break", "stop"),
            ("object", "stop"),
        ]


async def test_an_entry_moves_to_another_time_and_object(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("start moon")
        clock.forward(minutes=30)
        await it.enter("20 x 180s")
        await it.press("escape", "a")
        form = it.app.screen
        assert isinstance(form, MoveForm)
        form.query_one("#field-at", Input).value = "20:59"
        form.query_one("#field-object", Input).value = "m31"
        await it.press("ctrl+o")
        moved, _ = it.timeline
        assert moved.content.happened_utc == EVENING - timedelta(minutes=1)
        assert moved.content.target is not None
        assert moved.content.target.name == "Andromeda Galaxy"
        old, new = it.book.timeline.history(moved.id)
        assert (old.content.text, old.content.happened_utc) == (
            "20 x 180s",
            EVENING + timedelta(minutes=30),
        )
        assert new.cause == "correct"
        await it.press("f8")
        assert it.timeline[-1].content.target is not None
        assert it.timeline[-1].content.target.name == "Moon"


async def test_an_entry_of_last_night_moves_there_and_f8_brings_it_back(
    by_night: Path, clock: Clock
) -> None:
    clock.forward(hours=24)
    begin_night(by_night, clock)
    async with opened(by_night, clock, "night") as it:
        await it.enter("note cold")
        await it.press("escape", "a")
        form = it.app.screen
        form.query_one("#field-night", Input).value = "2025-01-01"
        await it.press("ctrl+o")
        assert "There is no night of 2025-01-01" in " ".join(it.words("#said-night").split())
        form.query_one("#field-night", Input).value = f"{EVENING:%Y-%m-%d}"
        form.query_one("#field-at", Input).value = "23:10"
        await it.press("ctrl+o", "y")
        assert f"Moved to the night of {EVENING:%Y-%m-%d}" in it.said
        assert not it.timeline
        (there,) = it.book.timeline.of_night(it.book.nights.on(EVENING.date()).id)
        assert there.content.text == "at 23:10 note cold"
        assert f"{there.content.happened_utc:%m-%d %H:%M}" == f"{EVENING:%m-%d} 21:10"
        await it.press("f8")
        (back,) = it.timeline
        assert back.content.text == "note cold"


@pytest.mark.parametrize("typed", ["tomorrow", "23:59", "25:10", ""])
async def test_an_entry_cannot_move_to_a_time_that_is_none(
    by_night: Path, clock: Clock, typed: str
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note cold")
        await it.press("escape", "a")
        it.app.screen.query_one("#field-at", Input).value = typed
        await it.press("ctrl+o")
        assert isinstance(it.app.screen, MoveForm)
        await it.press("escape")
        assert len(it.book.timeline.history(it.timeline[0].id)) == 1


async def test_h_tells_what_was_taken_out_too(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("note first")
        await it.press("escape", "d", "enter", "h")
        assert "Taken out tonight" in it.words(".sheet")
        assert "first" in it.words(".sheet")


async def test_reminders_are_put_aside_one_by_one_and_take_no_key(
    by_night: Path, clock: Clock
) -> None:
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        await it.enter("focus 12345 at 8C")
        clock.forward(hours=2, minutes=50)
        await it.enter("air 4.2 humidity 93")
        it.app.desk.track = track_from(EVENING)
        it.app.redraw()
        await it.settle()
        assert reminded(it) == [
            "Meridian at 00:00, in 10 min.",
            "Dew: the air is 1.0 °C above its dew point.",
            "3.8 °C colder than at the last focus: focus again.",
        ]
        await it.press(*"note warm", "enter", "escape")
        assert it.timeline[-1].content.text == "note warm"
        await it.press("x", "x")
        assert reminded(it) == ["3.8 °C colder than at the last focus: focus again."]
        assert "focus again" in it.words("#night-reminders")
        await it.enter("focus 12000 at 4.2C")
        assert reminded(it) == []


async def test_the_bell_rings_once_a_reminder_and_only_if_wished(
    by_night: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    rung: list[str] = []
    async with opened(by_night, clock, "night") as it:
        monkeypatch.setattr(it.app, "bell", lambda: rung.append("ding"))
        await it.enter("air 4.2 humidity 93")
        assert rung == []
        await it.press("escape", "o")
        assert isinstance(it.app.screen, RemindersForm)
        it.app.screen.query_one("#field-bell", Input).value = "on"
        it.app.screen.query_one("#field-focus", Input).value = "0,5"
        await it.press("ctrl+o")
        assert it.app.desk.view.reminders_line == "bell on, focus 0.5, dew 2"
        await it.enter("air 3.2 humidity 98")
        assert rung == ["ding"]


def test_wishes_of_a_newer_program_are_the_usual_ones() -> None:
    assert read_wishes("bell on, focus 0.5, dew 3") == Wishes(True, 0.5, 3.0)
    assert read_wishes("") == Wishes()
    assert read_wishes("bell loud, focus when cold") == Wishes()


@pytest.mark.parametrize("size", SIZES)
async def test_the_far_view_comes_and_goes_with_one_key_and_is_red(
    by_night: Path, clock: Clock, size: tuple[int, int]
) -> None:
    async with opened(by_night, clock, "night", size) as it:
        await it.enter("start m31")
        await it.enter("18/30 x 180s")
        await it.press("f7", "ctrl+g")
        assert isinstance(it.app.screen, FarView)
        assert leaks(it.app) == []
        shown = it.words("#far")
        assert shown.count("█") > 150
        assert len(shown.splitlines()) <= size[1]
        await it.press("ctrl+g")
        assert len(it.app.screen_stack) == 1


async def test_the_far_view_says_what_is_next(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        assert "Nothing runs." in far_words(it.app.desk, 80, 24).plain
        await it.enter("start m31")
        await it.enter("28/30 x 180s")
        words = far_words(it.app.desk, 80, 24).plain
        assert "2 of 30 frames left, through at 21:06" in words
        assert "Next: frames at 21:06, in 6 min" in words
        clock.forward(minutes=7)
        assert "The frames should be through" in far_words(it.app.desk, 80, 24).plain


async def test_a_night_starts_with_its_conditions_and_tells_what_is_due(
    tmp_path: Path, clock: Clock
) -> None:
    path = build_book(tmp_path / "night.db", clock)
    with open_book(path, clock=clock) as book:
        book.upkeep.add(UpkeepRule("look at the screws", after_transport=True))
        site = book.sites.all()[0]
        until = clock.now + timedelta(hours=2)
        book.running_orders.keep(site.id, EVENING.date(), [OrderItem(M33, clock.now, until)])
        book.timeline.keep(None, NewEntry("transport", clock.forward(minutes=1), "transport"))
    clock.forward(minutes=1)
    async with opened(path, clock, "night") as it:
        await it.press("f10")
        assert isinstance(it.app.screen, StartNight)
        assert "The running order of Choose: Triangulum Galaxy." in it.words(".form-intro")
        due = " ".join(it.words(".form-intro").split())
        assert "Upkeep due: look at the screws (moved since then: 1)" in due
        line = it.app.screen.query_one("#field-conditions", Input)
        line.value = "note cold"
        await it.press("ctrl+o")
        assert isinstance(it.app.screen, StartNight)
        line.value = "seeing antoniadi III humidity 81"
        await it.settle()
        assert "moderate, larger tremors" in " ".join(it.words("#said-conditions").split())
        await it.press("ctrl+o")
        (first,) = it.timeline
        assert dict(first.content.readings)["seeing_antoniadi"] == 3.0


async def test_the_end_asks_what_is_missing_and_lists_what_is_open(
    by_night: Path, clock: Clock
) -> None:
    with open_book(by_night, clock=clock) as book:
        site = book.sites.all()[0]
        book.running_orders.keep(site.id, EVENING.date(), [OrderItem(M33)])
        projects: Projects = book.projects
        projects.add(M33, None, 6.0)
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        await it.enter("start 30 x 180s")
        clock.forward(hours=1)
        await it.press("f10")
        form = it.app.screen
        assert isinstance(form, EndNight)
        assert [each.name for each in form.fields] == ["stopped", "frames", "conditions", "word"]
        intro = " ".join(it.words(".form-intro").split())
        assert "Andromeda Galaxy still runs." in intro
        assert "Left of the running order: Triangulum Galaxy. Projects: Triangulum" in intro
        assert form.query_one("#field-frames", Input).value == "20"
        form.query_one("#field-frames", Input).value = "19"
        form.query_one("#field-conditions", Input).value = "seeing 3/5"
        form.query_one("#field-stopped", Input).value = "21:58"
        await it.press("ctrl+o")
        night = it.book.nights.latest()
        assert night is not None
        assert night.ended_utc == clock.now
        told = [each.content for each in it.book.timeline.of_night(night.id)]
        assert [each.frames.count for each in told if each.frames] == [19]
        (stop,) = (each for each in told if each.action == "stop")
        assert stop.happened_utc == EVENING + timedelta(minutes=58)
        assert any(each.kind == "conditions" for each in told)


async def test_two_programs_see_each_others_entries(by_night: Path, clock: Clock) -> None:
    async with opened(by_night, clock, "night") as it:
        it.app.parts.follower.look()
        await it.settle()
        await it.press(*"note half ty")
        with open_book(by_night, clock=clock) as other:
            other.timeline.keep(1, NewEntry("note", clock(), "from the other one"))
        it.app.parts.follower.look()
        await it.settle()
        assert "from the other one" in it.words("#night-list")
        assert it.line == "note half ty"


async def test_an_older_reading_is_not_shown_over_a_newer_one(by_night: Path, clock: Clock) -> None:
    """One thread reads, another saves and reads, and the words of the first come last."""
    async with opened(by_night, clock, "night") as it:
        old = it.app.desk.view
        await it.enter("seeing 3/5")
        new = it.app.desk.view
        it.app.post_message(BookChanged(it.book, old))
        await it.settle()
        assert it.app.desk.view is new


def test_sleep_and_a_clock_set_back_are_told() -> None:
    clock, steady = Clock(), [0.0]
    watch = ClockWatch(clock, lambda: steady[0])
    assert watch.look() == ""
    clock.forward(minutes=1)
    steady[0] += 60
    assert watch.look() == ""
    clock.forward(hours=2)
    steady[0] += 1
    assert "went on by 1 h 59 min at once: the laptop slept" in watch.look()
    clock.forward(hours=-1)
    steady[0] += 1
    assert "set back by 1 h 00 min" in watch.look()
    assert watch.look() == ""


async def test_the_laptops_own_time_zone_changes_nothing(
    by_night: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> None:
    import time

    monkeypatch.setenv("TZ", "America/New_York")
    time.tzset()
    try:
        async with opened(by_night, clock, "night") as it:
            await it.enter("at 20:55 note early")
            await it.enter("note now")
            assert "20:55 early" in it.page
            assert "21:00 now" in it.page
    finally:
        monkeypatch.undo()
        time.tzset()


async def test_midnight_and_the_hour_that_comes_twice_stay_in_their_order(
    tmp_path: Path,
) -> None:
    # The clocks of Vienna went back on 26 October 2025 at 01:00 UTC. Source: tz database.
    clock = Clock()
    path = build_book(tmp_path / "night.db", clock)
    clock.now = EVENING.replace(day=25, hour=21, minute=50)
    begin_night(path, clock)
    async with opened(path, clock, "night") as it:
        await it.enter("start m31")
        clock.forward(minutes=15)
        await it.enter("note past midnight")
        clock.now = EVENING.replace(day=26, hour=0, minute=30)
        await it.enter("note first half past two")
        clock.forward(hours=1)
        await it.enter("note second half past two")
        shown = it.words("#night-list").splitlines()
        assert [row[:5] for row in shown[:4]] == ["23:50", "00:05", "02:30", "02:30"]
        assert "first" in shown[2]
        assert "for 3 h 40 min" in it.words("#night-now")


async def test_the_running_order_says_when_to_switch(by_night: Path, clock: Clock) -> None:
    start = clock.now
    m31 = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)
    slots = [
        OrderItem(m31, start, start + timedelta(hours=2)),
        OrderItem(M33, start + timedelta(hours=2), start + timedelta(hours=4)),
    ]
    with open_book(by_night, clock=clock) as book:
        book.running_orders.keep(book.sites.all()[0].id, EVENING.date(), slots)
    async with opened(by_night, clock, "night") as it:
        await it.enter("start m31")
        clock.forward(minutes=90)
        it.app.redraw()
        await it.settle()
        assert "Triangulum Galaxy 23:00–01:00. Switch 23:00, in 30 min." in it.words("#night-next")
        clock.forward(minutes=31)
        it.app.redraw()
        await it.settle()
        assert "Switch now. g starts it." in it.words("#night-next")
