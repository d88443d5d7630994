"""Lines written in a night that is over: read by that night's clock, kit and timeline."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from logbook.entryline.context import Understood
from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, NightRecord, Screw, TargetCopy, Turn
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.night_context import (
    doubt_of_time,
    read_night_context,
    understand_in,
)
from logbook.store.save_line import save_line
from tests.clock import EVENING, Clock

GALAXY = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688)
CLUSTER = TargetCopy("NGC0869", "Double Cluster", "open cluster", 34.741, 57.134)
Read = Callable[[str], Understood]


@pytest.fixture
def over(book: Book, clock: Clock) -> NightRecord:
    """21:00 to 03:00 in Vienna: the galaxy from 21:10, the cluster from 23:30, both with frames."""
    site = book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
    tube = book.kit.add_part(Part("Long Tube", "telescope").with_number("mirror_count", 2))
    other = book.kit.add_part(Part("Short Tube", "telescope").with_number("mirror_count", 2))
    book.kit.set_screws(tube.id, (Screw("A", 12), Screw("B", 4), Screw("C", 8)))
    book.kit.set_screws(other.id, (Screw("X", 12), Screw("Y", 4), Screw("Z", 8)))
    long = book.kit.add_train("Long", "camera", (tube.id,))
    book.kit.add_train("Short", "camera", (other.id,))
    book.kit.add_part(Part("Ha", "filter"))
    night = book.nights.start(site.id, long.id, "R. Quill", EVENING)
    for minutes, entry in (
        (10, NewEntry("object", EVENING, "start m31", "start", GALAXY)),
        (60, NewEntry("frames", EVENING, "f", target=GALAXY, frames=Frames(20, 180.0, "Ha"))),
        (100, NewEntry("turn", EVENING, "turn A", turn=Turn("A", 0.125))),
        (150, NewEntry("object", EVENING, "start", "start", CLUSTER)),
        (160, NewEntry("kit", EVENING, "kit Short", train_name="Short")),
        (200, NewEntry("frames", EVENING, "f", target=CLUSTER, frames=Frames(5, 60.0))),
    ):
        clock.forward(minutes=1)
        at = EVENING + timedelta(minutes=minutes)
        book.timeline.keep(night.id, _at(entry, at))
    return book.nights.end(night.id, EVENING + timedelta(hours=6))


def _at(entry: NewEntry, at: datetime) -> NewEntry:
    from dataclasses import replace

    return replace(entry, happened_utc=at)


@pytest.fixture(params=[timedelta(hours=18), timedelta(days=366)], ids=["next day", "next year"])
def read(book: Book, over: NightRecord, request: pytest.FixtureRequest) -> Read:
    later: timedelta = request.param

    def line(typed: str) -> Understood:
        context = read_night_context(book, over.id)
        found = {"m31": GALAXY}.get
        return understand_in(context, typed, EVENING + later, found)

    return line


def test_a_time_is_one_of_that_night_in_its_zone(read: Read) -> None:
    understood = read("at 1:20 seeing 1/5")
    assert understood.entry is not None
    assert understood.entry.happened_utc == datetime(2025, 10, 4, 23, 20, tzinfo=UTC)
    assert understood.entry.readings == (("seeing_of_five", 1.0),)
    assert "01:20 CEST, 23:20 UTC" in understood.said


def test_a_time_at_the_end_of_the_line_is_read_too(read: Read) -> None:
    understood = read("start m31 at 22:10")
    assert understood.entry is not None
    assert understood.entry.happened_utc == datetime(2025, 10, 4, 20, 10, tzinfo=UTC)


@pytest.mark.parametrize("line", ["seeing 3/5", "10 min ago seeing 3/5", "note the dew came"])
def test_a_line_without_a_time_of_that_night_is_refused(read: Read, line: str) -> None:
    understood = read(line)
    assert understood.entry is None
    assert "at 22:15" in (understood.problem or "")


@pytest.mark.parametrize(
    ("line", "target"),
    [("at 22:30 stop", GALAXY), ("at 1:00 stop", CLUSTER), ("at 22:30 10 x 60s", GALAXY)],
)
def test_the_object_is_the_one_that_ran_then(read: Read, line: str, target: TargetCopy) -> None:
    understood = read(line)
    assert understood.entry is not None
    assert understood.entry.target == target


def test_again_means_the_frames_before_that_time(read: Read) -> None:
    early, late = read("at 22:30 again"), read("at 1:00 again")
    assert early.entry is not None
    assert late.entry is not None
    assert early.entry.frames == Frames(20, 180.0, "Ha")
    assert late.entry.frames is not None
    assert late.entry.frames.exposure_s == 60.0


def test_screws_are_those_of_the_train_in_use_then(read: Read) -> None:
    assert read("at 23:00 turn A tighten 1/8").entry is not None
    assert "X, Y, Z" in (read("at 1:00 turn A tighten 1/8").problem or "")


def test_a_turn_is_judged_that_had_been_made_by_then(read: Read) -> None:
    before, after = read("at 22:00 better"), read("at 22:50 better")
    assert before.entry is None
    assert after.corrects_entry_id is not None


def test_nothing_typed_is_nothing_wrong(read: Read) -> None:
    assert read("") == Understood(None)


@pytest.mark.parametrize(
    ("line", "doubt"),
    [
        ("at 15:00 air 12", "15:00 is before that night began, at 21:00."),
        ("at 4:30 air 2", "04:30 is after that night ended, at 03:00."),
        ("at 21:00 air 8", ""),
        ("at 3:00 air 3", ""),
    ],
)
def test_a_time_outside_the_night_is_doubted(
    read: Read, over: NightRecord, line: str, doubt: str
) -> None:
    understood = read(line)
    assert understood.entry is not None
    assert doubt_of_time(over, understood.entry.happened_utc) == doubt


def test_an_added_line_stands_in_that_night_and_no_night_begins(
    book: Book, over: NightRecord, read: Read
) -> None:
    before = book.nights.count()
    save_line(book, read("at 1:20 seeing 1/5"), night=over)
    assert "at 1:20 seeing 1/5" in [e.content.text for e in book.timeline.of_night(over.id)]
    assert book.nights.count() == before
    assert book.nights.in_progress() is None
    assert book.nights.get(over.id).ended_utc == over.ended_utc
