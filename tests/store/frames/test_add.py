"""A frame is never counted twice: not when moved, not after a kill, not by two programs."""

import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.entryline.understand import understand
from logbook.errors import NotWritten
from logbook.records.entries import EntryRecord, NightRecord
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.books import begun_night
from tests.clock import EVENING, Clock
from tests.entryline.lines import AROUND
from tests.store.frames.frames_around import add_all, frame, plan_of, some

pytestmark = pytest.mark.usefixtures("night", "_frames_are_past")


@pytest.fixture
def _frames_are_past(clock: Clock) -> None:
    clock.forward(hours=9)


def frames_in(book: Book, night: NightRecord) -> list[EntryRecord]:
    return [each for each in book.timeline.of_night(night.id) if each.content.frames]


def counts(book: Book, night: NightRecord) -> list[int]:
    return [each.content.frames.count for each in frames_in(book, night) if each.content.frames]


def test_a_run_becomes_one_entry_at_the_time_of_its_first_frame(
    book: Book, night: NightRecord
) -> None:
    values = {"sensor_temperature_c": -10.0, "focus_position": 12340.0}
    (added,) = add_all(book, some(5, 60, **values))
    entry = added.entry.content
    assert (entry.kind, entry.frames and entry.frames.count) == ("frames", 5)
    assert (entry.happened_utc - EVENING).total_seconds() == 3600
    assert entry.target is not None
    assert entry.target.name == "Andromeda Galaxy"
    assert dict(entry.readings) == {"sensor_temperature_c": -10.0, "focus_position": 12340.0}
    assert added.entry.night_id == night.id


def test_the_words_of_the_entry_can_be_typed_again(book: Book) -> None:
    (added,) = add_all(book, some(5, 60, focus_position=12340.0))
    understood = understand(added.entry.content.text, AROUND)
    assert understood.entry is not None
    assert understood.entry.frames == added.entry.content.frames


def test_adding_again_adds_nothing(book: Book, night: NightRecord) -> None:
    add_all(book, some(5))
    assert add_all(book, some(5)) == []
    moved = [replace(each, path=Path("elsewhere") / each.path) for each in some(5)]
    assert add_all(book, moved) == []
    assert counts(book, night) == [5]


def test_a_run_that_grows_is_one_entry_with_its_history(book: Book, night: NightRecord) -> None:
    add_all(book, some(3, focus_position=100.0))
    (added,) = add_all(book, [*some(3, focus_position=100.0), *some(2, 12, focus_position=109.0)])
    assert (added.grew, added.new) == (True, 2)
    assert counts(book, night) == [5]
    assert "focus 100 to 109" in added.entry.content.text
    versions = book.timeline.history(added.entry.id)
    assert [each.content.frames.count for each in versions if each.content.frames] == [3, 5]


def test_what_the_owner_corrected_stays_when_the_run_grows(book: Book) -> None:
    (added,) = add_all(book, some(3))
    content = added.entry.content
    assert content.frames is not None
    mended = replace(
        content, text="3 lights, wrong filter", frames=replace(content.frames, filter_name="OIII")
    )
    book.timeline.correct(added.entry.id, mended)
    (grown,) = add_all(book, some(4))
    frames = grown.entry.content.frames
    assert frames is not None
    assert (frames.count, frames.filter_name) == (4, "OIII")
    assert grown.entry.content.text == "3 lights, wrong filter"


def test_a_run_corrected_to_something_else_is_left_alone(book: Book, night: NightRecord) -> None:
    (added,) = add_all(book, some(3))
    note = replace(added.entry.content, kind="note", text="test shots", frames=None, readings=())
    book.timeline.correct(added.entry.id, note)
    assert add_all(book, some(3)) == []
    (more,) = add_all(book, some(5))
    assert (more.grew, more.new) == (False, 2)
    assert counts(book, night) == [2]


def test_a_withdrawn_run_may_be_added_again(book: Book, night: NightRecord) -> None:
    (added,) = add_all(book, some(3))
    book.timeline.withdraw(added.entry.id)
    assert counts(book, night) == []
    assert len(add_all(book, some(3))) == 1
    assert counts(book, night) == [3]


def test_an_undone_growth_may_be_added_again_and_a_redone_one_not(
    book: Book, night: NightRecord
) -> None:
    add_all(book, some(3))
    add_all(book, some(5))
    book.units.take_back()
    assert counts(book, night) == [3]
    assert plan_of(book, some(5)).new == 2
    book.units.do_again()
    assert counts(book, night) == [5]
    assert add_all(book, some(5)) == []


def test_two_programs_do_not_count_a_frame_twice(
    book: Book, night: NightRecord, book_path: Path, clock: Clock
) -> None:
    with open_book(book_path, clock=clock) as other:
        ours, theirs = plan_of(book, some(3)), plan_of(other, some(5))
        assert book.frame_files.add(ours.to_add[0]) is not None
        added = other.frame_files.add(theirs.to_add[0])
        assert added is not None
        assert (added.new, added.grew) == (2, True)
        assert book.frame_files.add(ours.to_add[0]) is None
    assert counts(book, night) == [5]


def test_a_run_is_kept_whole_or_not_at_all(
    book: Book, night: NightRecord, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise NotWritten("Not written: the disk is full.")

    with monkeypatch.context() as patch:
        patch.setattr("logbook.store.frames.add._remember", full)
        with pytest.raises(NotWritten):
            add_all(book, some(3))
    assert counts(book, night) == []
    assert len(add_all(book, some(3))) == 1


KILLED = """
import sys
from pathlib import Path
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock
from tests.store.frames.frames_around import plan_of, some
clock = Clock(EVENING)
clock.forward(hours=9)
with open_book(Path(sys.argv[1]), clock=clock) as book:
    frames = [each for n in range(30) for each in some(3, 0.01 * n, filter_name=f"F{n}")]
    for planned in plan_of(book, frames).to_add:
        book.frame_files.add(planned)
        print("kept", flush=True)
"""


@pytest.mark.slow
def test_a_kill_in_the_middle_loses_nothing_kept_and_counts_nothing_twice(
    book: Book, night: NightRecord, book_path: Path
) -> None:
    command = [sys.executable, "-c", KILLED, str(book_path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as adding:
        assert adding.stdout is not None
        told = [adding.stdout.readline() for _ in range(7)]
        adding.kill()
    assert told == ["kept\n"] * 7
    kept = counts(book, night)
    assert 7 <= len(kept) < 30
    assert set(kept) == {3}
    frames = [each for n in range(30) for each in some(3, 0.01 * n, filter_name=f"F{n}")]
    add_all(book, frames)
    assert counts(book, night) == [3] * 30


# --- any order, whatever was added before ---

ALL = (*some(6), *some(4, 3, filter_name="OIII"), *some(3, 200), frame(400, frame_type="dark"))
STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("add"), st.sets(st.integers(0, len(ALL) - 1), max_size=8)),
        st.tuples(st.just("withdraw"), st.integers(0, 5)),
        st.tuples(st.just("correct"), st.integers(0, 5)),
        st.tuples(st.just("undo"), st.just(0)),
        st.tuples(st.just("redo"), st.just(0)),
    ),
    max_size=8,
)


@pytest.fixture(scope="module")
def template(empty_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = Path(shutil.copyfile(empty_book, tmp_path_factory.mktemp("frames") / "template.db"))
    with open_book(path, clock=Clock()) as book:
        begun_night(book, Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
    return path


@contextmanager
def fresh(template: Path) -> Iterator[Book]:
    clock = Clock()
    clock.forward(hours=9)
    with TemporaryDirectory() as folder:
        path = Path(shutil.copyfile(template, Path(folder) / "book.db"))
        with open_book(path, clock=clock) as book:
            yield book


def _do(book: Book, night: NightRecord, step: tuple[str, object]) -> None:
    what, which = step
    standing = frames_in(book, night)
    if what == "add":
        assert isinstance(which, set)
        add_all(book, [ALL[number] for number in which])
    elif what == "undo":
        book.units.take_back()
    elif what == "redo":
        book.units.do_again()
    elif isinstance(which, int) and which < len(standing):
        chosen = standing[which]
        if what == "withdraw":
            book.timeline.withdraw(chosen.id)
        else:
            book.timeline.correct(chosen.id, replace(chosen.content, text="mended"))


@settings(max_examples=12, deadline=None)
@given(STEPS)
def test_every_frame_counts_once_whatever_was_done_before(
    template: Path, steps: list[tuple[str, object]]
) -> None:
    identities = [each.identity for each in ALL]
    with fresh(template) as book:
        night = book.nights.in_progress()
        assert night is not None
        for step in steps:
            _do(book, night, step)
            counted = book.frame_files.counted(identities)
            assert sum(counts(book, night)) == len(counted)
            assert set(counted.values()) <= {each.id for each in frames_in(book, night)}
        if not book.nights.count():  # its start was taken back
            book.nights.start(night.site_id, None, "", night.started_utc)
        add_all(book, list(ALL))
        assert set(book.frame_files.counted(identities)) == set(identities)
        assert sum(counts(book, night)) == len(ALL)
