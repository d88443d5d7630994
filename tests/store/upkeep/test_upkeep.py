"""Rules for upkeep: counted from when the work was logged last, due at their first limit."""

from dataclasses import replace
from datetime import timedelta

import pytest

from logbook.errors import BadInput, NotFound
from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, TrainRecord, UpkeepDone
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.upkeep.rules import Due, UpkeepRule
from tests.clock import EVENING, Clock

pytestmark = pytest.mark.usefixtures("train")

TUBE = "Long Tube"
RINSE = UpkeepRule("mirror rinse", TUBE, every_months=6)


def observe(book: Book, site: Site, train: TrainRecord | None, clock: Clock, nights: int) -> None:
    """That many nights of four hours, one after another."""
    known = book.sites.all()
    site_id = known[0].id if known else book.sites.add(site).id
    for _ in range(nights):
        clock.forward(days=1)
        night = book.nights.start(site_id, train.id if train else None, "", clock.now)
        book.nights.end(night.id, clock.now + timedelta(hours=4))


def log(book: Book, clock: Clock, action: str, part: str | None = TUBE) -> None:
    done = UpkeepDone(action, part_name=part)
    book.timeline.keep(None, NewEntry("upkeep", clock.forward(minutes=5), "upkeep", upkeep=done))


def only(book: Book) -> Due:
    (found,) = book.upkeep.due()
    return found


def test_months_are_counted_from_the_day_the_work_was_logged(book: Book, clock: Clock) -> None:
    book.upkeep.add(RINSE)
    clock.forward(days=100)
    log(book, clock, "mirror rinsed with distilled water, left to dry")
    assert only(book).share < 0.01
    clock.forward(days=150)
    assert not only(book).is_due
    clock.forward(days=33)
    due = only(book)
    assert due.is_due
    assert due.reasons == ("6.1 of 6 months",)
    assert due.line == "upkeep Long Tube: mirror rinse"


@pytest.mark.parametrize(
    ("action", "counts"),
    [
        ("mirror rinse", True),
        ("Rinsing the mirror again", True),
        ("mirror blown off", False),
        ("rinsed", False),
    ],
)
def test_work_is_known_by_the_beginnings_of_its_words(
    book: Book, clock: Clock, action: str, counts: bool
) -> None:
    book.upkeep.add(RINSE)
    log(book, clock, action)
    assert (only(book).last_done_utc is not None) is counts


def test_the_same_work_on_another_part_does_not_count(book: Book, clock: Clock) -> None:
    book.kit.add_part(Part("Little eighty", "telescope"))
    book.upkeep.add(RINSE)
    log(book, clock, "mirror rinse", "Little eighty")
    assert only(book).last_done_utc is None


def test_nights_and_hours_count_only_with_the_part_in_the_train(
    book: Book, site: Site, train: TrainRecord, clock: Clock
) -> None:
    book.upkeep.add(UpkeepRule("grease", TUBE, every_nights=3, every_hours_of_use=40))
    other = book.kit.add_part(Part("Little eighty", "telescope"))
    small = book.kit.add_train("small", "visual", (other.id,))
    observe(book, site, small, clock, 5)
    assert only(book).share == 0
    observe(book, site, train, clock, 3)
    due = only(book)
    assert due.is_due
    assert due.reasons == ("3 of 3 nights", "12.0 of 40 hours of use")


def test_transport_and_a_step_in_temperature(
    book: Book, site: Site, train: TrainRecord, clock: Clock
) -> None:
    book.upkeep.add(UpkeepRule("collimation check", None, every_step_c=10, after_transport=True))
    night = book.nights.start(book.sites.add(site).id, train.id, "", clock.now)

    def air(temperature_c: float) -> None:
        entry = NewEntry("reading", clock.forward(minutes=5), f"air {temperature_c}")
        reading = replace(entry, readings=(("air_temperature_c", temperature_c),))
        book.timeline.keep(night.id, reading)

    air(14.0)
    log(book, clock, "collimation checked", None)
    air(7.5)
    assert only(book).reasons == ("6.5 of 10 °C", "moved since then: 0")
    book.timeline.keep(
        None, NewEntry("transport", clock.forward(minutes=5), "transport farm track")
    )
    assert only(book).is_due
    assert only(book).reasons[0] == "moved since then: 1"


def test_what_is_put_off_is_quiet_until_then_and_comes_last(book: Book, clock: Clock) -> None:
    rinse = book.upkeep.add(replace(RINSE, every_months=1))
    book.upkeep.add(UpkeepRule("dust", TUBE, every_months=9))
    clock.forward(days=40)
    book.upkeep.snooze(rinse.id, clock.now + timedelta(days=10))
    dust, put_off = book.upkeep.due()
    assert (dust.record.rule.action, put_off.is_due) == ("dust", False)
    clock.forward(days=11)
    assert book.upkeep.due()[0].is_due


def test_a_rule_follows_the_name_of_its_part_and_can_be_retired(book: Book) -> None:
    kept = book.upkeep.add(RINSE)
    tube = book.kit.part_named(TUBE)
    book.kit.revise_part(tube.id, replace(tube.part, name="Longer Tube"))
    assert only(book).record.rule.part_name == "Longer Tube"
    book.upkeep.retire(kept.id)
    assert book.upkeep.due() == ()
    with pytest.raises(NotFound):
        book.upkeep.snooze(kept.id, EVENING + timedelta(days=1))


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        (UpkeepRule("dust"), "Say when"),
        (UpkeepRule("", every_nights=3), "missing"),
        (UpkeepRule("dust", every_nights=0), "not possible"),
        (UpkeepRule("dust", every_step_c=-3), "not possible"),
        (UpkeepRule("dust", every_months=1000), "not possible"),
    ],
)
def test_a_rule_that_never_falls_due_is_refused(book: Book, rule: UpkeepRule, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        book.upkeep.add(rule)


def test_a_rule_for_an_unknown_part_and_a_pause_into_the_past_are_refused(book: Book) -> None:
    with pytest.raises(NotFound, match="no part 'Cap'"):
        book.upkeep.add(UpkeepRule("dust", "Cap", every_nights=3))
    kept = book.upkeep.add(RINSE)
    for days in (-1, 500):
        with pytest.raises(BadInput, match="day to come"):
            book.upkeep.snooze(kept.id, EVENING + timedelta(days=days))


def test_a_changed_rule_counts_on_from_where_the_old_one_did(book: Book, clock: Clock) -> None:
    old = book.upkeep.add(RINSE)
    clock.forward(days=61)
    book.upkeep.snooze(old.id, clock.now + timedelta(days=9))
    book.upkeep.change(old.id, replace(RINSE, every_months=2))
    due = only(book)
    assert due.record.id != old.id
    assert due.record.created_utc == old.created_utc
    assert due.is_due, "its pause ended with the old rule"
    with pytest.raises(NotFound):
        book.upkeep.change(old.id, RINSE)


def test_a_change_that_cannot_be_leaves_the_old_rule(book: Book) -> None:
    old = book.upkeep.add(RINSE)
    with pytest.raises(NotFound):
        book.upkeep.change(old.id, replace(RINSE, part_name="Cap"))
    assert only(book).record == old


def test_what_was_put_off_can_be_taken_up_again(book: Book, clock: Clock) -> None:
    rule = book.upkeep.add(replace(RINSE, every_months=1))
    clock.forward(days=40)
    book.upkeep.snooze(rule.id, clock.now + timedelta(days=300))
    assert not only(book).is_due
    clock.forward(minutes=1)
    book.upkeep.wake(rule.id)
    assert only(book).is_due
    assert only(book).snoozed_until_utc is None


def actions(book: Book, part: str | None = None) -> list[str]:
    done = (each.content.upkeep for each in book.upkeep.history(part))
    return [each.action for each in done if each is not None]


def test_the_history_is_newest_first_and_follows_the_part(book: Book, clock: Clock) -> None:
    log(book, clock, "rinsed")
    log(book, clock, "swept the shed", None)
    log(book, clock, "dusted")
    assert actions(book) == ["dusted", "swept the shed", "rinsed"]
    tube = book.kit.part_named(TUBE)
    book.kit.revise_part(tube.id, replace(tube.part, name="Longer Tube"))
    assert actions(book, "longer tube") == ["dusted", "rinsed"]
    book.timeline.withdraw(book.upkeep.history()[0].id)
    assert actions(book, "longer tube") == ["rinsed"]


def test_the_history_knows_names_that_are_no_parts(book: Book, clock: Clock) -> None:
    log(book, clock, "oiled", "Shed door")
    assert actions(book, "shed DOOR") == ["oiled"]
    with pytest.raises(NotFound, match="Parts with upkeep: Shed door"):
        book.upkeep.history("roof")
