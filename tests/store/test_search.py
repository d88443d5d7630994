"""Every word ever logged is found again, by any of its beginnings, and hostile words are words."""

import contextlib
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.errors import BadInput, NotFound
from logbook.kit.parts import Part
from logbook.store.book import Book
from logbook.store.records import Frames, NewEntry, NightRecord, TargetCopy, UpkeepDone
from logbook.store.search import Found, Wanted
from tests.store.clock import EVENING

Note = Callable[..., NewEntry]
CLOUD = TargetCopy("NGC 224", "Andromeda Galaxy", "galaxy", 10.68, 41.27)


def texts(found: Found) -> list[str]:
    return [hit.entry.content.text for hit in found.hits]


@pytest.fixture
def logged(book: Book, night: NightRecord, note: Note) -> Book:
    book.timeline.keep(night.id, note("the grub screw of B slips", minutes=10))
    book.timeline.keep(night.id, note("Börje saw the Über-ring, screw grub", minutes=20))
    frames = Frames(20, 180.0, filter_name="Ha")
    book.timeline.keep(
        night.id, NewEntry("frames", EVENING, "20 x 180s Ha", target=CLOUD, frames=frames)
    )
    return book


@pytest.mark.parametrize(
    ("words", "how_many"),
    [
        ("slips", 1),
        ("SLI", 1),
        ("screw grub", 2),
        ('"grub screw"', 1),
        ("borje uber", 1),
        ("andromeda", 1),
        ("180s", 1),
        ("mirror", 0),
        ("screw mirror", 0),
    ],
)
def test_words_are_found_in_any_order_and_by_their_beginnings(
    logged: Book, words: str, how_many: int
) -> None:
    assert len(logged.search.find(Wanted(words)).hits) == how_many


def test_the_newest_comes_first_and_more_is_said(logged: Book) -> None:
    found = logged.search.find(Wanted("grub"), most=1)
    assert texts(found) == ["Börje saw the Über-ring, screw grub"]
    assert found.more
    assert found.hits[0].night == date(2025, 10, 4)


def test_what_was_corrected_is_found_as_it_is_now(
    book: Book, night: NightRecord, note: Note
) -> None:
    kept = book.timeline.keep(night.id, note("a marten on the roof"))
    book.timeline.correct(kept.id, note("a cat on the roof"))
    assert not book.search.find(Wanted("marten")).hits
    assert texts(book.search.find(Wanted("cat"))) == ["a cat on the roof"]
    book.timeline.undo(night.id)
    assert texts(book.search.find(Wanted("marten"))) == ["a marten on the roof"]


def test_filters_narrow_what_is_found(logged: Book) -> None:
    assert len(logged.search.find(Wanted(kinds=("frames",))).hits) == 1
    assert len(logged.search.find(Wanted(object_name="andromeda galaxy")).hits) == 1
    assert len(logged.search.find(Wanted(object_name="m31")).hits) == 1
    assert len(logged.search.find(Wanted(train_name="planet train")).hits) == 3
    assert len(logged.search.find(Wanted("grub", first=date(2025, 10, 5))).hits) == 0
    assert len(logged.search.find(Wanted("grub", last=date(2025, 10, 4))).hits) == 2


def test_work_on_a_part_is_found_by_the_part(book: Book, night: NightRecord) -> None:
    book.kit.add_part(Part("Dew strap", "small hardware"))
    done = UpkeepDone("dried", part_name="Dew strap")
    entry = NewEntry(
        "upkeep", EVENING + timedelta(minutes=1), "upkeep Dew strap: dried", upkeep=done
    )
    book.timeline.keep(night.id, entry)
    assert texts(book.search.find(Wanted(part_name="dew strap"))) == ["upkeep Dew strap: dried"]


@pytest.mark.parametrize(
    ("wanted", "error", "words"),
    [
        (Wanted(), BadInput, "what to search for"),
        (Wanted("a " * 20), BadInput, "At most 12"),
        (Wanted(first=date.min), BadInput, "the date is not possible"),
        (Wanted(kinds=("gossip",)), BadInput, "Kinds: setup"),
        (Wanted(object_name="Nowhere Nebula"), NotFound, "Nowhere Nebula"),
        (Wanted(part_name="lost cap"), NotFound, "lost cap"),
        (Wanted(train_name="ghost"), NotFound, "Trains: Planet train"),
    ],
)
def test_what_cannot_be_searched_for_is_told(
    logged: Book, wanted: Wanted, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        logged.search.find(wanted)


@given(st.text(max_size=60))
@settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_nothing_typed_is_taken_for_an_operator(logged: Book, typed: str) -> None:
    """The query language of FTS5 (sqlite.org/fts5.html, 3) never sees what was typed bare."""
    hostile = (typed, f'NEAR({typed} AND "', f"words:{typed}*", f"-{typed} OR ^{typed}")
    for words in hostile:
        with contextlib.suppress(BadInput):  # nothing to search for, or too many words
            logged.search.find(Wanted(words))
