"""Words typed beside the timeline are found too: in the kit, the sites, the plans."""

from datetime import date, timedelta

import pytest

from logbook.kit.parts.part import Part
from logbook.records.choosing import OrderItem
from logbook.records.entries import NewEntry, NightRecord, TargetCopy, TrainRecord, UpkeepDone
from logbook.records.search import Elsewhere, Wanted
from logbook.store.book import Book
from logbook.store.upkeep.rules import UpkeepRule
from tests.clock import EVENING, Clock

CLOUD = TargetCopy("NGC 224", "Andromeda Galaxy", "galaxy", 10.68, 41.27)


def only(book: Book, words: str) -> Elsewhere:
    found = book.search.find(Wanted(words))
    assert found.hits == ()
    (other,) = found.elsewhere
    return other


def test_a_part_is_found_by_its_note_its_value_and_why_it_was_changed(
    book: Book, clock: Clock
) -> None:
    part = Part("Two-inch Focuser", "focuser", note="slips in the cold")
    kept = book.kit.add_part(part.with_number("travel_mm", 40, how="kitchen scales"))
    found = only(book, "focuser cold")
    assert (found.kind, found.id, found.is_now) == ("part", kept.id, True)
    assert (found.what, found.text) == ("note", "slips in the cold")
    assert only(book, "kitchen").what == "how its travel mm was found"
    clock.forward(days=9)
    book.kit.revise_part(kept.id, Part("Two-inch Focuser", "focuser"), why="new felt")
    assert only(book, "felt").what == "why it was changed"
    former = only(book, "slips")
    assert (former.is_now, former.as_of) == (False, EVENING.date())


def test_a_train_is_found_by_its_name_and_its_note(book: Book, train: TrainRecord) -> None:
    assert only(book, "planet train").id == train.id
    book.kit.revise_train(train.id, train.part_ids, note="with the spare ring")
    assert only(book, "spare").text == "with the spare ring"


def test_the_observer_and_the_site_lead_to_their_last_night(book: Book, night: NightRecord) -> None:
    for words in ("quill", "mill hill"):
        found = only(book, words)
        assert (found.night_id, found.night) == (night.id, night.local_date)


def test_projects_plans_and_rules_are_found(book: Book, night: NightRecord) -> None:
    book.projects.add(CLOUD, "Ha", 12.0, "for the big mosaic")
    book.running_orders.keep(
        night.site_id, date(2025, 10, 4), (OrderItem(CLOUD, note="after the meridian"),)
    )
    book.upkeep.add(UpkeepRule("dry the desiccant", every_months=2))
    assert only(book, "mosaic").kind == "project"
    assert only(book, "meridian").name == "Andromeda Galaxy, 2025-10-04"
    assert only(book, "desiccant").kind == "rule"


def test_how_a_part_was_before_work_is_found_where_the_line_does_not_say(
    book: Book, night: NightRecord
) -> None:
    done = UpkeepDone("washed", before="lots of pollen")
    entry = NewEntry("upkeep", EVENING + timedelta(minutes=1), "upkeep mirror: washed", upkeep=done)
    kept = book.timeline.keep(night.id, entry)
    found = only(book, "pollen")
    assert (found.entry_id, found.night_id) == (kept.id, night.id)


@pytest.mark.parametrize("words", ["cold slips", "fócuser", "SLI", '"in the cold"'])
def test_the_same_rule_holds_as_for_the_timeline(book: Book, words: str) -> None:
    book.kit.add_part(Part("Two-inch Focuser", "focuser", note="slips in the cold"))
    assert only(book, words).name == "Two-inch Focuser"


@pytest.mark.usefixtures("train")
def test_with_a_filter_only_the_timeline_is_searched(book: Book) -> None:
    assert not book.search.find(Wanted("planet", kinds=("note",))).elsewhere
