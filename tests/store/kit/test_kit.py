"""Sites, parts, trains and screws: saved, changed with their history, retired."""

from dataclasses import replace
from datetime import timedelta

import pytest

from logbook.errors import BadInput, NotFound
from logbook.kit.parts.part import MEASURED, Part, Value
from logbook.records.entries import NewEntry, NightRecord, Screw, TrainRecord
from logbook.sky.night.site import Site
from logbook.store.book import Book
from tests.clock import Clock

CAMERA = (
    Part("Big Chip", "camera", note="cooled", price=900.0, link="https://example.org/?a=1&b=2")
    .with_number("pixel_um", 3.8)
    .with_number("pixel_um", 3.76, basis=MEASURED, how="microscope", on="2025-03-01")
)


def test_a_part_comes_back_with_both_its_stated_and_measured_values(book: Book) -> None:
    thread = Value("sky_side_thread", "stated", word="M48 x 0.75")
    part = replace(CAMERA, values=(*CAMERA.values, thread))
    kept = book.kit.add_part(part)
    assert kept.part == part
    assert book.kit.part(kept.id) == book.kit.part_named("big chip") == kept
    assert kept.part.number("pixel_um") == 3.76


def test_a_changed_part_keeps_its_history(book: Book, clock: Clock) -> None:
    first = book.kit.add_part(CAMERA)
    clock.forward(days=30)
    second = book.kit.revise_part(first.id, replace(CAMERA, name="Big Chip II"), "new window")
    assert book.kit.part_history(first.id) == (first, second)
    assert book.kit.parts() == (second,)
    assert (second.id, second.revision) == (first.id, 2)


def test_a_part_cannot_become_another_kind(book: Book) -> None:
    kept = book.kit.add_part(CAMERA)
    with pytest.raises(BadInput, match="is a camera: add a new part"):
        book.kit.revise_part(kept.id, Part("Big Chip", "mount"), "")


def test_two_parts_cannot_bear_one_name(book: Book) -> None:
    kept = book.kit.add_part(CAMERA)
    with pytest.raises(BadInput, match="Big Chip is taken"):
        book.kit.add_part(replace(CAMERA, name="BIG  chip"))
    book.kit.revise_part(kept.id, CAMERA, "same name is fine for itself")


def test_an_unknown_part_is_answered_with_those_there_are(book: Book) -> None:
    with pytest.raises(NotFound, match="Parts: none yet"):
        book.kit.part_named("x")
    book.kit.add_part(CAMERA)
    with pytest.raises(NotFound, match="Parts: Big Chip"):
        book.kit.part_named("x")


def test_a_train_holds_its_parts_in_order(book: Book, train: TrainRecord) -> None:
    mount = book.kit.add_part(Part("Pier", "mount").with_number("payload_kg", 40))
    kept = book.kit.add_train("Backwards", "camera", tuple(reversed(train.part_ids)), (mount.id,))
    assert [part.name for part in kept.train.parts] == ["Small Chip", "Long Tube"]
    assert [part.name for part in kept.train.carried] == ["Pier"]
    assert kept.carried_ids == (mount.id,)
    assert book.kit.train_named("backwards") == book.kit.train(kept.id) == kept
    assert {each.train.name for each in book.kit.trains()} == {"Backwards", "Planet train"}


def test_a_changed_part_changes_every_train_in_use_that_holds_it(
    book: Book, train: TrainRecord, clock: Clock
) -> None:
    telescope, camera = train.part_ids
    eye = book.kit.add_train("Eye", "visual", (telescope,))
    old = book.kit.add_train("Old", "camera", (telescope, camera))
    book.kit.retire_train(old.id)
    clock.forward(days=1)
    tube = Part("Long Tube", "telescope").with_number("aperture_mm", 254)
    book.kit.revise_part(telescope, tube, "measured it")
    assert [each.revision for each in book.kit.trains()] == [2, 2]
    assert book.kit.train(eye.id).train.parts[0].number("aperture_mm") == 254
    assert book.kit.train(old.id).revision == 1
    assert book.kit.train_history(train.id)[0] == train


def test_a_revised_train_keeps_what_it_was(book: Book, train: TrainRecord) -> None:
    revised = book.kit.revise_train(train.id, train.part_ids[:1], (), "camera out")
    assert (revised.revision, revised.note) == (2, "camera out")
    assert book.kit.train_at(train.revision_id) == train
    assert book.kit.train_history(train.id) == (train, revised)


@pytest.mark.parametrize("kind", ["camera", "visual"])
def test_a_train_that_cannot_be_is_refused(book: Book, train: TrainRecord, kind: str) -> None:
    telescope = train.part_ids[0]
    with pytest.raises(BadInput, match="at least one part"):
        book.kit.add_train("Empty", kind, ())
    with pytest.raises(BadInput, match="only once"):
        book.kit.add_train("Twice", kind, (telescope,), (telescope,))
    with pytest.raises(NotFound, match="no part number 99"):
        book.kit.add_train("Nothing", kind, (99,))
    with pytest.raises(BadInput, match="Planet train is taken"):
        book.kit.add_train("planet TRAIN", kind, (telescope,))
    with pytest.raises(BadInput, match="kind of train 'radio' is unknown"):
        book.kit.add_train("Radio", "radio", (telescope,))
    assert book.kit.trains() == (train,)


def test_a_part_in_use_is_not_retired(book: Book, train: TrainRecord) -> None:
    telescope = train.part_ids[0]
    with pytest.raises(BadInput, match="Long Tube is in Planet train"):
        book.kit.retire_part(telescope)
    book.kit.retire_train(train.id)
    book.kit.retire_part(telescope)
    assert [each.part.name for each in book.kit.parts()] == ["Small Chip"]
    assert book.kit.trains() == ()
    (retired,) = book.kit.trains(include_retired=True)
    assert retired.retired
    with pytest.raises(BadInput, match="was retired"):
        book.kit.add_train("Again", "camera", (telescope,))


def test_screws_are_kept_clockwise_from_the_top(book: Book, train: TrainRecord) -> None:
    telescope, camera = train.part_ids
    three = (Screw("C", 8.0), Screw("A", 12.0), Screw("B", 4.0, tighten_clockwise=False))
    assert book.kit.set_screws(telescope, three) == (three[1], three[2], three[0])
    moved = (Screw("a", 2.0), Screw("D", 6.0))
    assert book.kit.set_screws(telescope, moved) == moved
    assert book.kit.screws(telescope) == moved
    assert book.kit.set_screws(telescope, three) == (three[1], three[2], three[0])
    with pytest.raises(BadInput, match="only a telescope has screws"):
        book.kit.set_screws(camera, three)
    with pytest.raises(NotFound):
        book.kit.screws(99)


def test_sites_are_found_by_name_and_retired(book: Book, site: Site) -> None:
    first = book.sites.add(site)
    second = book.sites.add(Site("Ärger Moos", -34.0, 18.5, 0.0, "Africa/Johannesburg"))
    assert first.site == site
    assert book.sites.named("arger moos") == second
    assert book.sites.all() == (first, second)
    with pytest.raises(BadInput, match="Mill Hill is taken"):
        book.sites.add(replace(site, name="mill hill"))
    with pytest.raises(NotFound, match="Sites: Mill Hill, Ärger Moos"):
        book.sites.named("nowhere")
    book.sites.retire(second.id)
    assert book.sites.all() == (first,)
    assert book.sites.all(include_retired=True) == (first, second)
    assert book.sites.get(second.id) == second


def test_a_site_is_corrected_with_its_horizon(book: Book, site: Site) -> None:
    kept = book.sites.add(site)
    better = replace(site, name="Mill Top", horizon=((0.0, 3.0), (90.0, 8.0), (270.0, 1.0)))
    assert book.sites.revise(kept.id, better).site == better
    assert book.sites.get(kept.id).site == better


def test_an_old_night_keeps_the_time_zone_it_was_timed_in(book: Book, night: NightRecord) -> None:
    moved = replace(night.site, time_zone="Europe/Lisbon")
    book.sites.revise(night.site_id, moved)
    assert book.nights.get(night.id) == night


def test_a_night_shows_its_site_also_after_that_was_retired(book: Book, night: NightRecord) -> None:
    book.sites.retire(night.site_id)
    assert book.nights.get(night.id) == night


def test_a_train_written_up_after_the_night_still_counts(
    book: Book, site: Site, train: TrainRecord, clock: Clock
) -> None:
    """The first train is entered when the first night is, which may have begun already."""
    where = book.sites.add(site)
    begun = clock.now - timedelta(hours=2)
    night = book.nights.start(where.id, train.id, "", begun)
    assert night.train == train


def test_what_is_written_up_much_later_gets_the_train_as_it_was(
    book: Book, site: Site, train: TrainRecord, clock: Clock
) -> None:
    evening = clock.now
    clock.forward(days=90)
    revised = book.kit.revise_train(train.id, train.part_ids[:1], (), "camera sold")
    where = book.sites.add(site)
    old = book.nights.start(where.id, train.id, "", evening)
    new = book.nights.start(where.id, train.id, "", clock.now)
    assert (old.train, new.train) == (train, revised)
    change = NewEntry("kit", evening, "train planet", train_name="Planet train")
    assert book.timeline.keep(old.id, change).train_revision_id == train.revision_id
