"""A night read back: what was kept is there, word for word."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from logbook.kit.parts import STATED, Part, Value
from logbook.report.night_page import night_lines, read_night
from logbook.sky.place import Site
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from logbook.store.records import Frames, NewEntry, NightRecord, TargetCopy

EVENING = datetime(2026, 11, 9, 19, 30, tzinfo=UTC)
GALAXY = TargetCopy("NGC0224", "M 31", "galaxy", 10.6847, 41.2691)
TUBE = Part(
    "Long tube",
    "telescope",
    (Value("focal_length_mm", STATED, 1624.0), Value("aperture_mm", STATED, 203.0)),
)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    path = make_book(tmp_path / "book.db")
    with open_book(path, clock=lambda: EVENING + timedelta(hours=9)) as opened:
        yield opened


@pytest.fixture
def night(book: Book) -> NightRecord:
    site = book.sites.add(Site("Skerry", 52.0, -3.0, 5.0, "Europe/Oslo"))
    tube = book.kit.add_part(TUBE)
    train = book.kit.add_train("Eye", "visual", (tube.id,))
    return book.nights.start(site.id, train.id, "", EVENING)


def told(book: Book, night: NightRecord) -> str:
    return "\n".join(line.plain for line in night_lines(read_night(book, night.id)))


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
    assert "M 31: 20:30–…, 30 frames, 1 h" in said
    assert "3 entries, 30 frames, 1 h exposed" in said.splitlines()[-1].replace(" 00 min", "")


def test_the_page_and_the_list_of_nights_count_the_same_frames(
    book: Book, night: NightRecord
) -> None:
    """Frames kept before any object was named count too."""
    book.timeline.keep(night.id, frames(12, 5))
    (summary,) = book.nights.summaries()
    assert summary.frames == 12
    *_, unnamed, sums = told(book, night).splitlines()
    assert unnamed.startswith("No object named: 12 frames, 24 min")
    assert sums == "1 entry, 12 frames, 24 min exposed."


def test_an_old_night_shows_the_train_as_it_was(book: Book, night: NightRecord) -> None:
    before = told(book, night)
    assert "Eye, revision 1, 1624 mm, f/8.0." in before
    tube = book.kit.part_named("Long tube")
    book.kit.revise_part(tube.id, TUBE.with_number("focal_length_mm", 1700.0))
    assert told(book, night) == before
