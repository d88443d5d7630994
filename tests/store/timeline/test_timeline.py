"""Entries: added, corrected, taken out, and found again with all they hold."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.errors import BadInput, NotFound, NotWritten
from logbook.kit.parts.part import Part
from logbook.records.entries import (
    Frames,
    NewEntry,
    NightRecord,
    Screw,
    ScrewSum,
    StarLook,
    TargetCopy,
    TrainRecord,
    Turn,
    UpkeepDone,
)
from logbook.records.typed_line import TypedLine
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock

VEIL = TargetCopy("test 12", "Test Veil", "nebula", 312.75, 30.72, "Cyg", 60.0, 8.0, 20.0, 7.0)
MakeNote = Callable[..., NewEntry]


def texts(book: Book, night: NightRecord) -> list[str]:
    return [each.content.text for each in book.timeline.of_night(night.id)]


@pytest.mark.parametrize(
    "entry",
    [
        NewEntry("setup", EVENING, "polar aligned"),
        NewEntry("conditions", EVENING, "hazy", readings=(("seeing_pickering", 6.0),)),
        NewEntry("reading", EVENING, "air 4.2", readings=(("air_temperature_c", 4.2),)),
        NewEntry("object", EVENING, "veil", action="start", target=VEIL),
        NewEntry("object", EVENING, "end", action="stop"),
        NewEntry(
            "frames",
            EVENING,
            "20 x 180s Ha",
            target=VEIL,
            frames=Frames(20, 180.0, "Ha", 100.0, 2, "centre 800x600", 0.5, "light", 60),
            readings=(("sensor_temperature_c", -10.0), ("fwhm_arcsec", 2.1)),
        ),
        NewEntry("focus", EVENING, "focus 12345", readings=(("focus_position", 12345.0),)),
        NewEntry(
            "star",
            EVENING,
            "shadow 4 o'clock",
            look=StarLook(0.12, 30.0, 0.01, 88.0, 0.9, "picture", "inside", "Test Star", "a.png"),
        ),
        NewEntry("turn", EVENING, "turn a 1/8", turn=Turn("A", 0.125, "better", None, 0.2, 0.1)),
        NewEntry("kit", EVENING, "train", train_name="Planet train"),
        NewEntry("guiding", EVENING, "drift", readings=(("drift_arcsec_min", -3.0),)),
        NewEntry("trouble", EVENING, "dew on the corrector"),
        NewEntry("break", EVENING, "tea", action="start"),
        NewEntry(
            "upkeep",
            EVENING,
            "washed the primary",
            upkeep=UpkeepDone("washed", "Long Tube", 3.5, 40.0, "dusty", "clean", "b.jpg"),
        ),
        NewEntry("transport", EVENING, "carried outside"),
        NewEntry("meridian", EVENING, "flipped"),
    ],
    ids=lambda entry: f"{entry.kind} {entry.action or ''}".strip(),
)
def test_every_kind_of_entry_comes_back_as_it_was_kept(
    book: Book, book_path: Path, night: NightRecord, entry: NewEntry
) -> None:
    kept = book.timeline.keep(night.id, entry)
    assert kept.content == entry
    with open_book(book_path) as again:
        assert again.timeline.of_night(night.id) == (kept,)


def test_entries_stand_in_the_order_in_which_they_happened(
    book: Book, night: NightRecord, note: MakeNote
) -> None:
    for text, minutes in (("third", 30), ("first", -10), ("second", 5)):
        book.timeline.keep(night.id, note(text, minutes=minutes))
    assert texts(book, night) == ["first", "second", "third"]


def test_a_correction_keeps_the_old_text(
    book: Book, night: NightRecord, note: MakeNote, clock: Clock
) -> None:
    first = book.timeline.keep(night.id, note("focus 12354"))
    later = clock.forward(minutes=2)
    second = book.timeline.correct(first.id, note("focus 12345"))
    assert texts(book, night) == ["focus 12345"]
    assert book.timeline.history(first.id) == book.timeline.history(second.id) == (first, second)
    assert (second.cause, second.supersedes_id, second.recorded_utc) == ("correct", first.id, later)


def test_an_entry_taken_out_is_kept_in_its_history(
    book: Book, night: NightRecord, note: MakeNote
) -> None:
    first = book.timeline.keep(night.id, note("wrong night"))
    book.timeline.withdraw(first.id)
    assert texts(book, night) == []
    versions = book.timeline.history(first.id)
    assert [each.content.kind for each in versions] == ["note", "withdrawn"]
    assert versions[0].content.text == "wrong night"
    with pytest.raises(BadInput, match="undo brings it back"):
        book.timeline.correct(versions[1].id, note("again"))


def test_one_key_undoes_whatever_was_done_last(
    book: Book, night: NightRecord, note: MakeNote
) -> None:
    first = book.timeline.keep(night.id, note("seeing fair"))
    second = book.timeline.correct(first.id, note("seeing poor"))
    book.timeline.withdraw(second.id)
    shown = []
    for _ in range(3):
        book.units.take_back()
        shown.append(texts(book, night))
    assert shown == [["seeing poor"], ["seeing fair"], []]
    while book.units.do_again() is not None:
        shown.append(texts(book, night))
    assert shown[3:] == [["seeing fair"], ["seeing poor"], []]


def test_an_entry_moves_to_another_night_and_undo_where_it_was_brings_it_back(
    book: Book, night: NightRecord
) -> None:
    kept = book.timeline.keep(night.id, NewEntry("note", EVENING, "cold"))
    other = book.nights.start(night.site_id, None, "", EVENING + timedelta(days=1))
    there = NewEntry("note", EVENING + timedelta(days=1), "cold")
    moved = book.timeline.correct(kept.id, there, night_id=other.id)
    assert (texts(book, night), texts(book, other)) == ([], ["cold"])
    assert [each.id for each in book.timeline.history(moved.id)] == [kept.id, moved.id]
    for _ in range(2):
        assert book.units.take_back() is not None
        assert (texts(book, night), texts(book, other)) == (["cold"], [])
        assert book.units.do_again() is not None
        assert (texts(book, night), texts(book, other)) == ([], ["cold"])
    for _ in range(3):  # the move, the start of the other night, the entry
        book.units.take_back()
    assert (texts(book, night), texts(book, other)) == ([], [])


def test_taking_back_the_start_of_a_night_leaves_the_others_alone(
    book: Book, night: NightRecord, note: MakeNote
) -> None:
    book.timeline.keep(night.id, note("tonight"))
    next_night = book.nights.start(night.site_id, None, "", EVENING + timedelta(days=1))
    assert book.units.take_back() == "the start of the night of 2025-10-05"
    assert book.nights.get(next_night.id).ended_utc is not None
    assert texts(book, night) == ["tonight"]


def test_a_line_corrected_elsewhere_meanwhile_is_not_corrected_twice(
    book: Book, book_path: Path, night: NightRecord, note: MakeNote
) -> None:
    first = book.timeline.keep(night.id, note("as seen by both"))
    with open_book(book_path) as other:
        other.timeline.correct(first.id, note("by the other program"))
    with pytest.raises(NotWritten, match="changed meanwhile"):
        book.timeline.correct(first.id, note("by this one"))
    assert texts(book, night) == ["by the other program"]


def test_two_programs_on_one_book_see_each_others_entries(
    book: Book, book_path: Path, night: NightRecord, note: MakeNote
) -> None:
    with open_book(book_path) as other:
        for number in range(5):
            book.timeline.keep(night.id, note(f"this {number}", minutes=number))
            other.timeline.keep(night.id, note(f"other {number}", minutes=number + 0.5))
        assert texts(book, night) == texts(other, night)
        assert len(texts(book, night)) == 10


def test_an_object_is_copied_at_first_use_and_stays_as_it_was(
    book: Book, night: NightRecord
) -> None:
    """A catalogue rebuilt later must not move what was looked at."""
    first = NewEntry("object", EVENING, "veil", action="start", target=VEIL)
    book.timeline.keep(night.id, first)
    moved = TargetCopy("test 12", "Veil, renamed", "nebula", 1.0, 1.0)
    kept = book.timeline.keep(
        night.id, NewEntry("frames", EVENING, "x", target=moved, frames=Frames(1, 1.0))
    )
    assert kept.content.target == VEIL


def test_an_entry_by_day_belongs_to_no_night(book: Book, note: MakeNote) -> None:
    kept = book.timeline.keep(None, note("mirror out for washing"))
    assert book.timeline.of_night(None) == (kept,)
    assert book.units.take_back() is not None
    assert book.timeline.of_night(None) == ()


def test_the_latest_entries_of_any_night(book: Book, night: NightRecord, note: MakeNote) -> None:
    for number in range(5):
        book.timeline.keep(night.id, note(f"{number}", minutes=number))
    book.timeline.keep(None, note("by day", minutes=-600))
    assert [each.content.text for each in book.timeline.latest(2)] == ["4", "3"]
    assert len(book.timeline.latest(50)) == 6


def test_a_change_of_kit_counts_from_then_on(
    book: Book, night: NightRecord, train: TrainRecord, note: MakeNote
) -> None:
    other = book.kit.add_train("Eye", "visual", (train.part_ids[0],))
    change = NewEntry("kit", EVENING + timedelta(minutes=10), "train eye", train_name="eye")
    changed = book.timeline.keep(night.id, change)
    before = book.timeline.keep(night.id, note("early", minutes=5))
    after = book.timeline.keep(night.id, note("late", minutes=15))
    assert changed.content.train_name == "Eye"
    assert before.train_revision_id == train.revision_id
    assert after.train_revision_id == other.revision_id
    in_use = book.timeline.train_in_use(night.id, EVENING + timedelta(minutes=15))
    assert in_use == other
    book.timeline.withdraw(changed.id)
    again = book.timeline.train_in_use(night.id, EVENING + timedelta(minutes=15))
    assert again == train


def test_a_late_correction_of_a_kit_entry_keeps_the_train_as_it_was(
    book: Book, night: NightRecord, train: TrainRecord, clock: Clock
) -> None:
    change = NewEntry("kit", EVENING, "train plant", train_name="Planet train")
    kept = book.timeline.keep(night.id, change)
    clock.forward(days=90)
    book.kit.revise_train(train.id, train.part_ids[:1], (), "camera sold")
    mended = NewEntry("kit", EVENING, "train planet", train_name="Planet train")
    assert book.timeline.correct(kept.id, mended).train_revision_id == train.revision_id


def test_an_unknown_train_is_refused_by_name(book: Book, night: NightRecord) -> None:
    change = NewEntry("kit", EVENING, "train x", train_name="Plant train")
    with pytest.raises(NotFound, match="Trains: Planet train"):
        book.timeline.keep(night.id, change)


def turn(screw: str, turns: float, minutes: float = 0.0) -> NewEntry:
    happened = EVENING + timedelta(minutes=minutes)
    return NewEntry("turn", happened, f"turn {screw}", turn=Turn(screw, turns))


def test_turns_are_summed_for_each_screw_of_the_telescope(
    book: Book, night: NightRecord, train: TrainRecord
) -> None:
    telescope = train.part_ids[0]
    book.kit.set_screws(telescope, (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0)))
    for number, (screw, turns) in enumerate((("a", 0.25), ("B", -0.125), ("A", 0.125), ("C", 1))):
        last = book.timeline.keep(night.id, turn(screw, turns, number))
    book.timeline.withdraw(last.id)
    assert book.timeline.screw_sums(telescope) == (
        ScrewSum("A", 0.375, 2),
        ScrewSum("B", -0.125, 1),
    )
    turned = [each.content.turn for each in book.timeline.turns(telescope)]
    assert [(each.screw, each.turns) for each in turned if each] == [
        ("A", 0.25),
        ("B", -0.125),
        ("A", 0.125),
    ]


def test_the_result_of_a_turn_is_added_when_it_was_looked_at(
    book: Book, night: NightRecord, train: TrainRecord
) -> None:
    kept = book.timeline.keep(night.id, turn("A", 0.25))
    looked = NewEntry("turn", EVENING, "turn A", turn=Turn("A", 0.25, "worse", None, 0.1, 0.2))
    book.timeline.correct(kept.id, looked)
    back = Turn("A", -0.25, None, kept.id)
    book.timeline.keep(night.id, NewEntry("turn", EVENING, "put back", turn=back))
    assert book.timeline.screw_sums(train.part_ids[0]) == (ScrewSum("A", 0.0, 2),)
    results = [each.content.turn for each in book.timeline.turns(train.part_ids[0])]
    assert [each.result for each in results if each] == ["worse", None]


def test_only_a_turn_can_be_put_back(book: Book, night: NightRecord, note: MakeNote) -> None:
    other = book.timeline.keep(night.id, note("not a turn"))
    back = NewEntry("turn", EVENING, "put back", turn=Turn("A", 0.25, None, other.id))
    with pytest.raises(BadInput, match="only a turn"):
        book.timeline.keep(night.id, back)
    gone = NewEntry("turn", EVENING, "put back", turn=Turn("A", 0.25, None, 999))
    with pytest.raises(NotFound):
        book.timeline.keep(night.id, gone)


def test_a_screw_this_telescope_has_not_is_refused_by_name(
    book: Book, night: NightRecord, train: TrainRecord
) -> None:
    book.kit.set_screws(train.part_ids[0], (Screw("A", 12.0), Screw("B", 4.0)))
    with pytest.raises(BadInput, match="its screws are A, B"):
        book.timeline.keep(night.id, turn("D", 0.25))


@pytest.mark.parametrize("name", ["centre", "the Centre screw", "center", "middle", "central-bolt"])
def test_the_centre_screw_is_never_turned(book: Book, night: NightRecord, name: str) -> None:
    with pytest.raises(BadInput, match="sets the distance between the mirrors"):
        book.timeline.keep(night.id, turn(name, 0.25))
    assert book.timeline.of_night(night.id) == ()


def test_a_turn_by_day_needs_to_know_which_telescope(book: Book, train: TrainRecord) -> None:
    telescope = train.part_ids[0]
    book.timeline.keep(None, turn("A", 0.125))
    assert book.timeline.screw_sums(telescope) == (ScrewSum("A", 0.125, 1),)
    other = book.kit.add_part(Part("Short Tube", "telescope"))
    with pytest.raises(BadInput, match="Which telescope"):
        book.timeline.keep(None, turn("A", 0.125))
    later = EVENING + timedelta(minutes=2)
    named = NewEntry("turn", later, "turn A", turn=Turn("A", 0.125), train_name="Planet train")
    kept = book.timeline.keep(None, named)
    assert kept.content == named
    assert book.timeline.screw_sums(telescope) == (ScrewSum("A", 0.25, 2),)
    assert book.timeline.screw_sums(other.id) == ()


def test_upkeep_of_an_unknown_part_keeps_its_name(book: Book, night: NightRecord) -> None:
    done = UpkeepDone("tightened", "borrowed wedge")
    kept = book.timeline.keep(night.id, NewEntry("upkeep", EVENING, "x", upkeep=done))
    assert kept.content.upkeep == done


def test_keeping_a_line_clears_its_draft(book: Book, night: NightRecord, note: MakeNote) -> None:
    book.drafts.put("w", "line", ("dew on th", "calm"))
    line = TypedLine("w", "line", "dew on the corrector")
    book.timeline.keep(night.id, note(line.text), typed=line)
    assert book.drafts.get("w", "line") == ("calm",)


def test_an_unknown_entry_or_night_is_said_to_be_unknown(book: Book, note: MakeNote) -> None:
    for ask in (
        lambda: book.timeline.history(77),
        lambda: book.timeline.get(77),
        lambda: book.timeline.correct(77, note("x")),
        lambda: book.timeline.withdraw(77),
        lambda: book.timeline.keep(77, note("x")),
        lambda: book.nights.get(77),
    ):
        with pytest.raises(NotFound, match="77"):
            ask()
