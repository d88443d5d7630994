"""What is taken back: the last thing this run saved, whole; anything older only if asked for."""

import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.errors import BadInput, NotFound, NotWritten
from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, NightRecord, TrainRecord, UpkeepDone
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.file import book_state, migrate
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock

CLEANED = NewEntry(
    "upkeep", EVENING, "upkeep Filter wheel: cleaned", upkeep=UpkeepDone("cleaned", "Filter wheel")
)


def note(words: str) -> NewEntry:
    return NewEntry("note", EVENING, words)


def texts(book: Book, night_id: int | None) -> list[str]:
    return [each.content.text for each in book.timeline.of_night(night_id)]


def test_the_words_say_what_is_taken_back(book: Book, night: NightRecord) -> None:
    kept = book.timeline.keep(night.id, NewEntry("note", EVENING, "seeing 3/5"))
    book.kit.add_part(Part("Copy2", "extension ring"))
    book.timeline.correct(kept.id, note("seeing 4/5"))
    said = [book.units.take_back() for _ in range(3)]
    assert said == [
        "the correction of seeing 3/5 · 21:00 to seeing 4/5 · 21:00",
        "extension ring Copy2",
        "seeing 3/5 · 21:00",
    ]
    assert texts(book, night.id) == []
    assert "Copy2" not in [each.part.name for each in book.kit.parts()]
    again = [book.units.do_again() for _ in range(4)]
    assert again == [*reversed(said), None]
    assert texts(book, night.id) == ["seeing 4/5"]


def test_a_job_of_several_rows_is_taken_back_whole(book: Book, night: NightRecord) -> None:
    with book.writing("the end of the night"):
        book.timeline.keep(night.id, note("dew"))
        book.timeline.keep(night.id, note("clouds"))
        book.nights.end(night.id, EVENING + timedelta(hours=3))
    assert book.nights.in_progress() is None
    assert book.units.take_back() == "the end of the night"
    assert book.nights.in_progress() == night
    assert texts(book, night.id) == []
    book.units.do_again()
    assert book.nights.in_progress() is None
    assert texts(book, night.id) == ["dew", "clouds"]


def test_what_another_run_saved_is_not_its_own(book_path: Path, clock: Clock) -> None:
    with open_book(book_path, clock=clock) as book:
        book.timeline.keep(None, CLEANED)
    clock.forward(days=9)
    with open_book(book_path, clock=clock) as book:
        step = book.units.last()
        assert step is not None
        assert (step.own, step.made_utc) == (False, EVENING)
        assert step.words == "upkeep Filter wheel: cleaned"
        book.timeline.keep(None, note("today"))
        later = book.units.last()
        assert later is not None
        assert (later.own, later.words) == (True, "today")
        with pytest.raises(NotWritten, match="something else was saved since"):
            book.units.take_back(step)
        book.units.take_back()
        assert book.units.last() == step
        book.units.take_back(step)
        assert texts(book, None) == []
        assert book.units.last() is None
        assert book.units.do_again() == step.words
        assert book.units.last() is not None
        assert texts(book, None) == ["upkeep Filter wheel: cleaned"]


def test_a_part_changed_by_another_program_is_refused(book_path: Path, clock: Clock) -> None:
    with (
        open_book(book_path, clock=clock) as book,
        open_book(book_path, clock=clock) as other,
    ):
        part = book.kit.add_part(Part("Chip", "camera"))
        book.kit.revise_part(part.id, Part("Chip", "camera", note="mine"))
        other.kit.revise_part(part.id, Part("Chip", "camera", note="theirs"))
        with pytest.raises(NotWritten, match="the part was changed since, perhaps by another"):
            book.units.take_back()
        assert book.kit.part(part.id).part.note == "theirs"


def test_a_site_changed_by_another_program_is_refused(book_path: Path, clock: Clock) -> None:
    with (
        open_book(book_path, clock=clock) as book,
        open_book(book_path, clock=clock) as other,
    ):
        site = book.sites.add(Site("Hill", 48.0, 16.0, 300.0, "Europe/Vienna"))
        book.sites.revise(site.id, Site("Hill", 48.0, 16.0, 310.0, "Europe/Vienna"))
        other.sites.revise(site.id, Site("Hill", 48.0, 16.0, 320.0, "Europe/Vienna"))
        with pytest.raises(NotWritten, match="the site was changed since"):
            book.units.take_back()
        assert book.sites.get(site.id).site.elevation_m == 320.0


def test_a_line_changed_by_another_program_is_refused(book_path: Path, clock: Clock) -> None:
    with (
        open_book(book_path, clock=clock) as book,
        open_book(book_path, clock=clock) as other,
    ):
        kept = book.timeline.keep(None, note("mine"))
        other.timeline.correct(kept.id, note("theirs"))
        with pytest.raises(NotWritten, match="the entry was changed since"):
            book.units.take_back()
        assert texts(book, None) == ["theirs"]


def test_a_taken_back_site_leaves_its_name_free(book: Book) -> None:
    site = Site("Hill", 48.0, 16.0, 300.0, "Europe/Vienna")
    book.sites.add(site)
    book.units.take_back()
    assert book.sites.all() == ()
    assert book.sites.add(site).site == site


def test_a_night_whose_start_was_taken_back_is_in_no_list(book: Book, night: NightRecord) -> None:
    """Its row stays, ended, until the start is done again or the night is started again."""
    book.timeline.keep(night.id, NewEntry("note", EVENING + timedelta(hours=1), "dew"))
    assert night.train is not None
    telescope_id = night.train.part_ids[0]
    assert book.past.part_use(telescope_id).nights == 1
    assert [book.units.take_back() for _ in range(2)] == [
        "dew · 22:00",
        "the start of the night of 2025-10-04",
    ]
    assert book.nights.in_progress() is None
    assert book.nights.get(night.id).ended_utc == night.started_utc
    assert (book.nights.summaries(), book.nights.latest(), book.nights.count()) == ([], None, 0)
    assert book.nights.summaries_of([night.id]) == []
    assert book.past.first_and_last() is None
    assert book.past.part_use(telescope_id).nights == 0
    with pytest.raises(NotFound, match="There are no nights yet"):
        book.nights.on(night.local_date)
    book.units.do_again()
    assert book.nights.in_progress() == night
    assert [each.night for each in book.nights.summaries()] == [night]
    book.units.take_back()
    assert book.nights.count() == 0
    begun = book.nights.start(night.site_id, None, "", EVENING + timedelta(hours=2))
    assert begun.id == night.id
    assert book.nights.count() == 1


def test_an_empty_night_whose_start_stands_stays_in_the_list(
    book: Book, night: NightRecord
) -> None:
    book.nights.start(night.site_id, None, "", EVENING + timedelta(days=1))
    forgotten = book.nights.get(night.id)
    assert forgotten.ended_utc == forgotten.started_utc
    assert book.nights.count() == 2


def test_a_night_in_which_another_program_wrote_stays_in_the_list(
    book_path: Path, clock: Clock, book: Book, night: NightRecord
) -> None:
    with open_book(book_path, clock=clock) as other:
        other.timeline.keep(night.id, note("of the other"))
    book.units.take_back()
    assert [each.entries for each in book.nights.summaries()] == [1]


def test_two_nights_are_never_in_progress(
    book_path: Path, clock: Clock, book: Book, night: NightRecord
) -> None:
    book.nights.end(night.id, EVENING)
    with open_book(book_path, clock=clock) as other:
        other.nights.start(night.site_id, None, "", EVENING + timedelta(days=1))
    with pytest.raises(NotWritten, match="another night is in progress"):
        book.units.take_back()


def test_a_train_has_its_old_parts_again(book: Book, train: TrainRecord) -> None:
    book.kit.revise_train(train.id, train.part_ids[:1])
    book.kit.revise_part(train.part_ids[0], Part("Tube", "telescope"))
    for _ in range(2):
        book.units.take_back()
    assert book.kit.train(train.id).train == train.train
    for _ in range(2):
        book.units.do_again()
    assert [each.name for each in book.kit.train(train.id).train.parts] == ["Tube"]


def test_what_was_done_again_is_not_corrected(book: Book, night: NightRecord) -> None:
    kept = book.timeline.keep(night.id, note("calm"))
    book.units.take_back()
    book.units.do_again()
    assert [each.corrected for each in book.timeline.of_night(night.id)] == [False]
    (standing,) = book.timeline.of_night(night.id)
    book.timeline.withdraw(standing.id)
    book.units.take_back()
    assert [each.corrected for each in book.timeline.of_night(night.id)] == [False]
    (standing,) = book.timeline.of_night(night.id)
    book.timeline.correct(standing.id, note("windy"))
    assert [each.corrected for each in book.timeline.of_night(night.id)] == [True]
    book.units.take_back()
    assert [each.corrected for each in book.timeline.of_night(night.id)] == [False]
    assert book.timeline.history(kept.id)[-1].content.text == "calm"


def test_a_part_that_failed_and_was_passed_over_does_not_name_the_whole(
    book: Book, night: NightRecord
) -> None:
    with book.writing():
        with pytest.raises(BadInput):
            book.choices.put("train", "x" * 500)
        with pytest.raises(NotWritten), book.writing("what failed"):
            raise NotWritten("no room")
        book.timeline.keep(night.id, note("dew"))
    assert book.units.take_back() == "dew · 21:00"


def test_what_is_only_read_is_not_written_in_and_that_is_said(book: Book) -> None:
    with book.reading(), pytest.raises(NotWritten, match="was only reading"):
        book.timeline.keep(None, note("dew"))
    assert texts(book, None) == []


def test_a_choice_of_the_program_itself_is_nothing_to_take_back(book: Book) -> None:
    book.choices.put("view", "red")
    assert book.units.last() is None
    book.choices.put("train", "Long train")
    book.units.take_back()
    assert book.choices.get("train") is None
    assert book.choices.get("view") == "red"


def test_a_choice_made_otherwise_meanwhile_stays(book_path: Path, clock: Clock) -> None:
    with (
        open_book(book_path, clock=clock) as book,
        open_book(book_path, clock=clock) as other,
    ):
        with book.writing():
            book.timeline.keep(None, note("mine"))
            book.choices.put("train", "Long train")
        other.choices.put("train", "Short train")
        book.units.take_back()
        assert texts(book, None) == []
        assert book.choices.get("train") == "Short train"


def test_entries_of_an_older_program_are_taken_back_one_by_one(tmp_path: Path) -> None:
    path = tmp_path / "old.db"
    path.touch()
    migrate.fill_new_book(path, book_state.APPLICATION_ID, EVENING, revision="0003")
    rows = [
        (1, "one", None, None, None),
        (2, "two", None, None, None),
        (3, "two, corrected", 2, "correct", None),
        (4, "two", 3, "undo", 3),
    ]
    with closing(sqlite3.connect(path)) as connection:
        for number, text, old, cause, undoes in rows:
            connection.execute(
                "INSERT INTO entry (id, uid, happened_utc, recorded_utc, kind, text, "
                "supersedes_id, cause, undoes_id) VALUES (?, ?, '2025-10-04T19:00:00.000000Z', "
                "'2025-10-04T19:00:00.000000Z', 'note', ?, ?, ?, ?)",
                (number, f"u{number}", text, old, cause, undoes),
            )
        connection.commit()
    with open_book(path, clock=Clock()) as book:
        step = book.units.last()
        assert step is not None
        assert (step.words, step.own) == ("two", False)
        assert [book.units.take_back(), texts(book, None)] == ["two", ["one"]]
        assert [book.units.take_back(), texts(book, None)] == ["one", []]
        assert book.units.last() is None
        assert book.units.do_again() == "one"
        assert book.units.do_again() == "two"
        assert sorted(texts(book, None)) == ["one", "two"]
