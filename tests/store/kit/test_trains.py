"""Trains through their life: copied, varied, set, retired, brought back; old nights untouched."""

from dataclasses import replace
from pathlib import Path

import pytest

from logbook.errors import BadInput
from logbook.kit.parts.part import MEASURED, Part, Placement
from logbook.kit.train.sheet import sheet
from logbook.records.entries import NightRecord, TrainRecord
from logbook.report.render.keys import PageKey
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.report.documents import as_text, read_document


def test_a_changed_part_never_alters_the_sheet_of_an_old_night(
    book: Book, night: NightRecord, clock: Clock
) -> None:
    assert night.train is not None
    telescope, camera = night.train.part_ids
    before = sheet(night.train.train)
    key = PageKey("night", "", night.id)
    page = as_text(read_document(book, key))
    clock.forward(days=2)
    for part_id, quantity, number in ((telescope, "aperture_mm", 200.0), (camera, "pixel_um", 2.4)):
        part = book.kit.part(part_id).part
        book.kit.revise_part(part_id, part.with_number(quantity, number, basis=MEASURED), "again")
    ring = book.kit.add_part(Part("Ring", "extension ring"))
    book.kit.revise_train(night.train.id, (telescope, ring.id, camera), (), "longer")
    then = book.nights.get(night.id).train
    assert then is not None
    assert sheet(then.train) == before
    assert as_text(read_document(book, key)) == page
    assert sheet(book.kit.train(night.train.id).train) != before


def test_where_parts_are_set_is_kept_and_stays_through_changes(
    book: Book, train: TrainRecord
) -> None:
    telescope, camera = train.part_ids
    guide = book.kit.add_part(Part("Guide", "guide telescope").with_number("mass_kg", 1.2))
    kept = book.kit.revise_train(
        train.id, (telescope, camera), (guide.id,), "", (Placement("guide", None, 250.0),)
    )
    assert kept.train.placements == (Placement("Guide", along_tube_mm=250.0),)
    kept = book.kit.revise_train(
        train.id, (camera, telescope), (guide.id,), "turned", (Placement("Small Chip", 12.5),)
    )
    both = (Placement("Small Chip", 12.5), Placement("Guide", None, 250.0))
    assert kept.train.placements == both
    book.kit.revise_part(guide.id, guide.part.with_number("mass_kg", 1.3), "weighed")
    assert book.kit.train(train.id).train.placements == both
    with pytest.raises(BadInput, match="Tripod is not in the train"):
        book.kit.revise_train(train.id, train.part_ids, (), "", (Placement("Tripod", 1.0),))


@pytest.mark.parametrize(
    ("placement", "words"),
    [
        (Placement("Long Tube", -1.0), "how far it is drawn out -1 mm is not possible"),
        (
            Placement("Long Tube", None, float("nan")),
            "the place along the tube nan mm is not possible",
        ),
    ],
)
def test_a_setting_that_cannot_be_is_refused(
    book: Book, train: TrainRecord, placement: Placement, words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        book.kit.revise_train(train.id, train.part_ids, (), "", (placement,))
    assert book.kit.train_history(train.id) == (train,)


def test_a_copied_train_goes_its_own_way(book: Book, train: TrainRecord) -> None:
    telescope, camera = train.part_ids
    set_up = book.kit.revise_train(
        train.id, (telescope, camera), (), "", (Placement("Small Chip", 9.0),)
    )
    copied = book.kit.clone_train(train.id, "Planet train, short")
    assert (copied.train.parts, copied.train.placements) == (
        set_up.train.parts,
        set_up.train.placements,
    )
    assert (copied.revision, copied.note) == (1, "from Planet train")
    book.kit.revise_train(copied.id, (telescope,))
    assert book.kit.train(train.id) == set_up
    with pytest.raises(BadInput, match="Planet train is taken"):
        book.kit.clone_train(train.id, "planet train")


def test_a_train_brought_back_has_its_parts_as_they_are_now(book: Book, train: TrainRecord) -> None:
    book.kit.retire_train(train.id)
    assert book.kit.bring_back_train(train.id) == train
    book.kit.retire_train(train.id)
    telescope = book.kit.part(train.part_ids[0])
    book.kit.revise_part(telescope.id, telescope.part.with_number("aperture_mm", 254), "")
    back = book.kit.bring_back_train(train.id)
    assert (back.revision, back.note, back.retired) == (2, "brought back", False)
    assert back.train.parts[0].number("aperture_mm") == 254
    assert book.kit.trains() == (back,)


def test_a_train_of_a_retired_part_is_not_brought_back(book: Book, train: TrainRecord) -> None:
    book.kit.retire_train(train.id)
    book.kit.retire_part(train.part_ids[1])
    with pytest.raises(BadInput, match="Small Chip was retired"):
        book.kit.bring_back_train(train.id)
    book.kit.bring_back_part(train.part_ids[1])
    assert book.kit.bring_back_train(train.id) == train


def test_a_part_is_brought_back_unless_its_name_was_given_away(book: Book) -> None:
    old = book.kit.add_part(Part("Ring", "extension ring"))
    book.kit.retire_part(old.id)
    (retired,) = book.kit.parts(include_retired=True)
    assert retired.retired
    new = book.kit.add_part(Part("ring", "adapter"))
    with pytest.raises(BadInput, match="ring is taken"):
        book.kit.bring_back_part(old.id)
    book.kit.revise_part(new.id, replace(new.part, name="Other ring"), "")
    assert book.kit.bring_back_part(old.id) == old


def test_a_wish_has_its_reason_and_price_and_tells_when_it_came(book: Book, clock: Clock) -> None:
    wish = Part(
        "Ring 7", "extension ring", state="wished for", reason="7 mm are missing", price=18.5,
        photo_path="photos/ring.jpg", link="https://example.org/ring",
    )  # fmt: skip
    first = book.kit.add_part(wish)
    assert (first.part, first.changed_utc) == (wish, clock())
    clock.forward(days=9)
    book.kit.revise_part(first.id, replace(wish, state="owned"), "came by post")
    told = [(each.part.state, each.changed_utc, each.why) for each in book.kit.part_history(1)]
    assert told == [("wished for", first.changed_utc, ""), ("owned", clock(), "came by post")]


def test_it_is_all_there_when_the_book_is_opened_again(
    book: Book, book_path: Path, train: TrainRecord, clock: Clock
) -> None:
    set_up = book.kit.revise_train(
        train.id, train.part_ids, (), "", (Placement("Small Chip", 4.0, 700.0),)
    )
    with open_book(book_path, clock=clock) as again:
        assert again.kit.train(train.id) == set_up
