"""What the screen shows is what the book holds, though only what is new is read again."""

import random
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import Thread
from typing import Any

import pytest
from sqlalchemy import event

from logbook.entryline.context import Understood
from logbook.records.choosing import OrderItem
from logbook.records.entries import Frames, NewEntry, TargetCopy, Turn
from logbook.records.typed_line import TypedLine
from logbook.screen.services import book_snapshot as view
from logbook.screen.services.book_snapshot import BookView, read_view
from logbook.screen.services.jobs import keep_understood
from logbook.screen.services.run_job import run_job
from logbook.sky.limits.limits import Limits
from logbook.store.book import Book
from logbook.store.opening import open_book
from logbook.store.save_line import save_line
from logbook.store.timeline.changes import Watch
from tests.clock import Clock
from tests.screen.book_on_screen import begin_night, build_book

M31 = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)


def anything(book: Book, night_id: int, clock: Clock, draw: random.Random) -> None:
    """One of the things that happen to a book."""
    clock.forward(seconds=draw.randint(2, 400))
    late = clock.now if draw.random() < 0.7 else clock.now.replace(second=0)
    timeline = book.timeline
    turn = Turn(draw.choice("ABC"), draw.choice((0.125, -0.0625)))
    frames = Frames(draw.randint(1, 20), 180.0, "Ha")
    standing = [each.id for each in timeline.of_night(night_id)]
    chosen = draw.choice(standing) if standing else None
    match draw.randint(0, 12):
        case 0 | 1:
            timeline.keep(night_id, NewEntry("turn", late, "turned", turn=turn))
        case 2:
            timeline.keep(night_id, NewEntry("frames", late, "frames", frames=frames))
        case 3 if chosen is not None:
            timeline.correct(chosen, NewEntry("turn", late, "turned", turn=turn))
        case 4 if chosen is not None:
            timeline.withdraw(chosen)
        case 5:
            book.units.take_back()
        case 6:
            book.units.do_again()
        case 7:
            book.limit_sets.keep("Own", Limits(min_altitude_deg=float(draw.randint(10, 60))))
        case 8:
            site = book.sites.all()[0]
            book.sites.revise(site.id, replace(site.site, elevation_m=float(draw.randint(0, 900))))
        case 9:
            order = (OrderItem(M31, None, None),) * draw.randint(0, 1)
            book.running_orders.keep(book.sites.all()[0].id, late.date(), order)
        case 10:
            part = book.kit.part_named("Small Chip")
            book.kit.revise_part(part.id, replace(part.part, note=f"{draw.random()}"))
        case 11:
            by_day = draw.choice((night_id, None))
            timeline.keep(by_day, NewEntry("note", late, "of M31", target=M31))
        case _:
            book.choices.put("train", draw.choice(("Long train", "Short train")))


@pytest.mark.parametrize(("seed", "most_turns"), [(0, 200), (1, 4), (2, 3)])
def test_a_view_kept_up_to_date_is_the_view_read_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seed: int, most_turns: int
) -> None:
    monkeypatch.setattr(view, "LATEST_TURNS", most_turns)
    clock, draw = Clock(), random.Random(seed)
    path = build_book(tmp_path / "logbook.db", clock)
    night_id = begin_night(path, clock)
    with (
        open_book(path, clock=clock) as book,
        open_book(path, clock=clock) as other,
        open_book(path, clock=clock) as anew,
    ):
        read_view(book)
        for step in range(24):
            anything(draw.choice((book, other)), night_id, clock, draw)
            if step == 20:
                book.nights.end(night_id, clock())
            if step % 4 == 0 or step > 19:
                view._LAST_READ.pop(anew, None)
                assert read_view(book) == read_view(anew), step


def test_after_a_line_only_what_it_changed_is_read(tmp_path: Path) -> None:
    """By count, not by time: `tests.bench_store` says what it costs."""
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book, open_book(path, clock=clock) as other:
        read_view(book)
        done = Understood(
            NewEntry("reading", clock(), "air 4", readings=(("air_temperature_c", 4),))
        )
        with statements(book) as said:
            run_job(book, keep_understood(done))
        begun = [each for each in said if each.startswith("BEGIN")]
        assert begun == ["BEGIN IMMEDIATE", "BEGIN"]
        after = said[said.index("BEGIN") + 1 :]
        assert len(after) == 1
        other.timeline.keep(night_id, NewEntry("note", clock(), "of another program"))
        with statements(book) as said:
            view = read_view(book)
        assert [each.content.text for each in view.timeline] == ["air 4", "of another program"]
        assert (said[0], len(said)) == ("BEGIN", 3)
        with statements(book) as said:
            assert read_view(book) is view
        assert (said[0], len(said)) == ("BEGIN", 2)


def test_a_line_is_saved_by_statements_that_are_known_beforehand(tmp_path: Path) -> None:
    """One that SQLAlchemy puts together costs several times its answer, a flush ten times."""
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        typed = TypedLine("w", "line", "air 4")
        read = NewEntry("reading", clock(), "air 4", readings=(("air_temperature_c", 4),))
        with statements(book) as said, book.writing():
            save_line(book, Understood(read, said="air 4"), typed=typed)
        assert [each for each in said if "\n" in each] == []
        assert len(said) == 11


@contextmanager
def statements(book: Book) -> Iterator[list[str]]:
    said: list[str] = []

    def heard(*all_of_it: object) -> None:
        said.append(str(all_of_it[2]))

    event.listen(book._sessions._engine, "before_cursor_execute", heard)
    yield said
    event.remove(book._sessions._engine, "before_cursor_execute", heard)


def test_a_reading_that_another_thread_overtook_gives_the_newer_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        old = read_view(book)
        kept_up = view._kept_up

        def save_and_read() -> None:
            book.timeline.keep(night_id, NewEntry("note", clock(), "cold"))
            assert read_view(book).mark > old.mark

        def overtaken(*asked: Any) -> BookView | None:
            found = kept_up(*asked)
            monkeypatch.setattr(view, "_kept_up", kept_up)
            other = Thread(target=save_and_read)
            other.start()
            other.join()
            return found

        monkeypatch.setattr(view, "_kept_up", overtaken)
        assert [each.content.text for each in read_view(book).timeline] == ["cold"]
        assert [each.content.text for each in read_view(book).timeline] == ["cold"]


def test_a_night_that_an_entry_was_moved_out_of_is_read_again(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    first_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        kept = book.timeline.keep(first_id, NewEntry("note", clock(), "cold"))
        book.nights.end(first_id, clock())
        clock.forward(seconds=24 * 3600)
        second = book.nights.start(book.sites.all()[0].id, None, "", clock())
        assert [each.entries for each in read_view(book).nights] == [0, 1]
        there = replace(kept.content, happened_utc=clock())
        book.timeline.correct(kept.id, there, night_id=second.id)
        assert [each.entries for each in read_view(book).nights] == [1, 0]


def test_only_what_the_screen_shows_counts_as_a_change(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book, open_book(path, clock=clock) as other:
        watch = book.watch()
        assert [watch.changed(), watch.changed()] == [False, False]
        other.drafts.put("window", "entry line", ("half ty",))
        assert not watch.changed()
        other.timeline.keep(night_id, NewEntry("note", clock(), "cold"))
        assert [watch.changed(), watch.changed()] == [True, False]
        other.nights.end(night_id, clock())
        assert watch.changed()
        watch.close()


def test_whatever_another_window_changes_of_a_site_is_noticed(tmp_path: Path) -> None:
    """Lines are read by its zone, and suggestions by its horizon."""
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    with open_book(path, clock=clock) as book, open_book(path, clock=clock) as other:
        watch = book.watch()
        assert not watch.changed()
        record = other.sites.all()[0]
        site = replace(record.site, time_zone="Atlantic/Azores")
        for changed in (
            site,
            replace(site, longitude_deg=-25.7),
            replace(site, longitude_deg=-25.7, horizon=((0.0, 12.0), (180.0, 8.0))),
        ):
            other.sites.revise(record.id, changed)
            assert watch.changed()
            seen = read_view(book).site
            assert seen is not None
            assert seen.site == changed
        other.choices.put("view", "red")  # how that window looks is no news for this one
        assert not watch.changed()
        watch.close()


def test_a_watched_book_that_is_gone_is_no_change_and_no_crash(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    with open_book(path, clock=clock) as book:
        watch = book.watch()
        path.rename(tmp_path / "elsewhere.db")
        assert not watch.changed()
        (tmp_path / "elsewhere.db").rename(path)
        assert not watch.changed()
        watch.close()


def test_a_book_may_be_left_while_it_is_looked_at(tmp_path: Path) -> None:
    """A connection closed under another thread brings the program down, not just the thread."""
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    with open_book(path, clock=clock) as book:
        for _ in range(30):
            watch = book.watch()
            looking = [Thread(target=look_until_left, args=(watch,)) for _ in range(3)]
            for thread in looking:
                thread.start()
            watch.close()
            for thread in looking:
                thread.join()
            assert not watch.changed()


def look_until_left(watch: Watch) -> None:
    for _ in range(50):
        watch.changed()


def test_what_was_taken_out_can_still_be_read(tmp_path: Path) -> None:
    clock = Clock()
    path = build_book(tmp_path / "logbook.db", clock)
    night_id = begin_night(path, clock)
    with open_book(path, clock=clock) as book:
        kept = book.timeline.keep(night_id, NewEntry("note", clock(), "cold"))
        book.timeline.withdraw(kept.id)
        assert [each.content.text for each in book.timeline.taken_out(night_id)] == ["cold"]
        book.units.take_back()
        assert book.timeline.taken_out(night_id) == ()
