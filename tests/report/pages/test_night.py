"""A night read back: what was logged is there, word for word."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from logbook.kit.parts.part import STATED, Part, Value
from logbook.records.entries import Frames, NewEntry, NightRecord, TargetCopy
from logbook.report.render.keys import PageKey
from logbook.sky.night.site import Site
from logbook.store.book import Book
from tests.books import begun_night
from tests.clock import Clock
from tests.report.documents import as_text, read_document

EVENING = datetime(2026, 11, 9, 19, 30, tzinfo=UTC)
GALAXY = TargetCopy("NGC0224", "M 31", "galaxy", 10.6847, 41.2691)
TUBE = Part(
    "Long tube",
    "telescope",
    (Value("focal_length_mm", STATED, 1624.0), Value("aperture_mm", STATED, 203.0)),
)


@pytest.fixture
def clock() -> Clock:
    return Clock(EVENING + timedelta(hours=9))


@pytest.fixture
def night(book: Book) -> NightRecord:
    train = book.kit.add_train("Eye", "visual", (book.kit.add_part(TUBE).id,))
    return begun_night(book, Site("Skerry", 52.0, -3.0, 5.0, "Europe/Oslo"), EVENING, train.id)


def told(book: Book, night: NightRecord) -> str:
    return as_text(read_document(book, PageKey("night", "", night.id)))


def frames(count: int, minute: int, frame_type: str = "light") -> NewEntry:
    taken = Frames(count, 120.0, frame_type=frame_type)
    return NewEntry("frames", EVENING + timedelta(minutes=minute), "frames", frames=taken)


def test_times_are_the_sites_own_and_utc_is_beside_them(book: Book, night: NightRecord) -> None:
    assert "20:30–still going on (19:30 UTC on)" in told(book, night)
    book.nights.end(night.id, EVENING + timedelta(hours=8))
    assert "20:30–04:30" in told(book, night)


def test_an_empty_night_says_that_nothing_was_logged(book: Book, night: NightRecord) -> None:
    assert "Nothing was logged." in told(book, night)


def test_a_corrected_entry_is_told_once_and_marked(book: Book, night: NightRecord) -> None:
    kept = book.timeline.keep(night.id, NewEntry("note", EVENING, "dew on the finder"))
    book.timeline.correct(kept.id, NewEntry("note", EVENING, "frost on the finder"))
    said = told(book, night)
    assert "dew on the finder" not in said
    assert "frost on the finder (corrected)" in said


def test_the_sums_count_light_frames_of_each_object(book: Book, night: NightRecord) -> None:
    start = NewEntry("object", EVENING, "m31", action="start", target=GALAXY)
    for entry in (start, frames(30, 70), frames(10, 80, "dark")):
        book.timeline.keep(night.id, entry)
    said = told(book, night)
    assert re.search(r"M 31 +20:30–… +30 +1 h 00 min", said)
    assert "3 entries, 1 object, 30 frames, 1 h 00 min exposed." in said


def test_the_page_and_the_list_of_nights_count_the_same_frames(
    book: Book, night: NightRecord
) -> None:
    """Frames logged before any object was named count too."""
    book.timeline.keep(night.id, frames(12, 5))
    (summary,) = book.nights.summaries()
    assert summary.frames == 12
    said = told(book, night)
    assert "1 entry, 0 objects, 12 frames, 24 min exposed." in said
    assert re.search(r"no object named +12 +24 min", said)


def test_an_old_night_shows_the_train_as_it_was(book: Book, night: NightRecord) -> None:
    before = told(book, night)
    assert "Eye, revision 1, 1624 mm, f/8.0." in before
    tube = book.kit.part_named("Long tube")
    book.kit.revise_part(tube.id, TUBE.with_number("focal_length_mm", 1700.0))
    assert told(book, night) == before


def test_frames_of_an_object_that_was_never_started_are_its_own(
    book: Book, night: NightRecord
) -> None:
    """As frames found on disk are added: the object beside them runs on."""
    other = TargetCopy("NGC7000", "North America Nebula", "nebula", 314.75, 44.33)
    found = replace(frames(20, 90), target=other)
    start = NewEntry("object", EVENING, "m31", action="start", target=GALAXY)
    for entry in (start, frames(30, 70), found, frames(5, 120)):
        book.timeline.keep(night.id, entry)
    said = told(book, night)
    assert re.search(r"M 31 +20:30–… +35 +1 h 10 min", said)
    assert re.search(r"North America Nebula +22:00 +20 +40 min", said)
    assert "no object named" not in said


def test_seeing_is_told_on_the_scale_it_was_judged_on(book: Book, night: NightRecord) -> None:
    judged = (("seeing_of_five", 4.0),)
    book.timeline.keep(night.id, NewEntry("conditions", EVENING, "seeing 4/5", readings=judged))
    assert re.search(r"seeing +4 of 5, taken as 7.8 of 10", told(book, night))
