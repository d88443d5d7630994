"""What belongs to a star test in the book: looks, checks, adjustments, and turns logged once."""

from dataclasses import replace
from datetime import timedelta

import pytest

from logbook.errors import BadInput
from logbook.records.entries import (
    Adjustment,
    LookDetail,
    NewEntry,
    NightRecord,
    Screw,
    StarCheck,
    StarLook,
    TrainRecord,
    Turn,
)
from logbook.store.book import Book
from tests.clock import EVENING, Clock

DETAIL = LookDetail(
    disc_x_px=512.25,
    disc_y_px=500.5,
    disc_sigma_px=0.1,
    shadow_x_px=515.0,
    shadow_y_px=498.0,
    shadow_radius_px=20.5,
    shadow_sigma_px=0.2,
    picture_kind="FITS 16 bit",
    picture_width_px=1024,
    picture_height_px=1000,
    arcsec_per_px=0.48,
    orientation="native, camera at 90°",
    defocus_mm=3.0,
    exposure_s=2.0,
    altitude_deg=62.0,
    azimuth_deg=210.0,
    pier_side="west",
    star_role="second",
    frames=5,
)
LOOK = NewEntry(
    "star",
    EVENING,
    "picture vega.fits",
    look=StarLook(0.06, 317.0, 0.01, 55.0, 0.8, "picture", "outside", "Vega", "v.fits", DETAIL),
)
CHECK = NewEntry(
    "check",
    EVENING,
    "check uneven",
    check=StarCheck("uneven", 90.0, "corner", "Deneb", "second", 55.0, "east"),
)
ADJUST = NewEntry(
    "adjust",
    EVENING,
    "tilt plate",
    adjustment=Adjustment("tilt plate", "4 o'clock", 0.125, "turn", "better"),
)


@pytest.mark.parametrize("entry", [LOOK, CHECK, ADJUST], ids=lambda entry: entry.kind)
def test_it_travels_through_keeping_correcting_withdrawing_and_undoing(
    book: Book, night: NightRecord, entry: NewEntry
) -> None:
    kept = book.timeline.keep(night.id, entry)
    assert kept.content == entry
    other = replace(entry, text=f"{entry.text}, again")
    corrected = book.timeline.correct(kept.id, other)
    assert corrected.content == other
    book.timeline.withdraw(corrected.id)
    assert book.timeline.of_night(night.id) == ()
    book.units.take_back()
    (undone,) = book.timeline.of_night(night.id)
    assert undone.content == other
    book.units.take_back()
    (standing,) = book.timeline.of_night(night.id)
    assert standing.content == entry


def test_a_look_without_more_to_say_has_no_detail(book: Book, night: NightRecord) -> None:
    bare = replace(LOOK, look=StarLook(0.1, 30.0, detail=LookDetail()))
    assert book.timeline.keep(night.id, bare).content.look == StarLook(0.1, 30.0)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (replace(LOOK, look=StarLook(0.1, detail=LookDetail(altitude_deg=95.0))), "altitude"),
        (replace(LOOK, look=StarLook(0.1, detail=LookDetail(pier_side="north"))), "pier"),
        (replace(CHECK, check=StarCheck("lovely")), "how the star looks"),
        (replace(CHECK, check=None), "how the star looks"),
        (replace(ADJUST, adjustment=Adjustment("dew shield")), "what was set"),
        (replace(ADJUST, adjustment=Adjustment("focuser", amount=0.1)), "needs a unit"),
        (replace(ADJUST, adjustment=None), "what was set"),
    ],
)
def test_what_cannot_be_is_refused_with_words(
    book: Book, night: NightRecord, entry: NewEntry, words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        book.timeline.keep(night.id, entry)
    assert book.timeline.of_night(night.id) == ()


def test_how_a_screw_is_held_is_kept_with_it(book: Book, train: TrainRecord) -> None:
    screws = (Screw("A", 12.0, lock_kind="push-pull"), Screw("B", 4.0, lock_kind="locked"))
    assert book.kit.set_screws(train.part_ids[0], screws) == screws
    with pytest.raises(BadInput, match="how the screw is held"):
        book.kit.set_screws(train.part_ids[0], (Screw("A", 12.0, lock_kind="glued"),))


def test_a_key_that_bounces_turns_no_screw_twice(
    book: Book, night: NightRecord, clock: Clock
) -> None:
    def turn(turns: float) -> NewEntry:
        return NewEntry("turn", clock.now, f"turn A {turns}", turn=Turn("A", turns))

    book.timeline.keep(night.id, turn(0.125))
    clock.forward(seconds=1.2)
    with pytest.raises(BadInput, match="Kept already: A tightened 1/8 turn"):
        book.timeline.keep(night.id, turn(0.125))
    book.timeline.keep(night.id, turn(-0.125))  # another turn is no bounce
    clock.forward(seconds=1.6)
    book.timeline.keep(night.id, turn(0.125))  # nor is the same one later
    assert [each.content.turn for each in book.timeline.of_night(night.id)] == [
        Turn("A", 0.125),
        Turn("A", -0.125),
        Turn("A", 0.125),
    ]


def test_turns_typed_with_their_own_times_are_all_kept(
    book: Book, night: NightRecord, clock: Clock
) -> None:
    for minutes in (0, 2, 4):
        at = clock.now + timedelta(minutes=minutes)
        book.timeline.keep(night.id, NewEntry("turn", at, "turn A", turn=Turn("A", 0.0625)))
    assert len(book.timeline.of_night(night.id)) == 3
