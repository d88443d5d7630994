"""Projects, running orders and what a book holds of an object, counted from what was logged."""

from datetime import date, timedelta

import pytest

from logbook.errors import BadInput, NotFound
from logbook.records.choosing import OrderItem
from logbook.records.entries import Frames, NewEntry, NightRecord, SiteRecord, TargetCopy
from logbook.sky.night.site import Site
from logbook.store.book import Book
from tests.clock import EVENING, Clock

VEIL = TargetCopy("NGC6960", "Western Veil", "supernova remnant", 311.4, 30.7, "Cyg", 70.0, 6.0)
M31 = TargetCopy("NGC0224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688, "And", 177.8, 69.7)
JUPITER = TargetCopy("Jupiter", "Jupiter", "planet", None, None)


def exposed(
    target: TargetCopy,
    count: int,
    seconds: float,
    filter_name: str | None,
    *,
    frame_type: str = "light",
    minutes: float = 0.0,
) -> NewEntry:
    frames = Frames(count, seconds, filter_name, frame_type=frame_type)
    return NewEntry(
        "frames", EVENING + timedelta(minutes=minutes), "frames", target=target, frames=frames
    )


def test_hours_so_far_are_those_of_the_kept_frames(book: Book, night: NightRecord) -> None:
    book.projects.add(VEIL, "Ha", 10.0)
    book.timeline.keep(night.id, exposed(VEIL, 20, 180.0, "Ha"))
    book.timeline.keep(night.id, exposed(VEIL, 10, 180.0, "ha", minutes=70))
    book.timeline.keep(night.id, exposed(VEIL, 10, 180.0, "OIII", minutes=110))
    book.timeline.keep(night.id, exposed(VEIL, 30, 180.0, "Ha", frame_type="dark", minutes=150))
    book.timeline.keep(night.id, exposed(M31, 60, 60.0, "Ha", minutes=200))
    (project,) = book.projects.all()
    assert project.held_hours == pytest.approx(1.5)
    assert project.owed_hours == pytest.approx(8.5)
    assert project.last_date == night.local_date


def test_corrected_and_withdrawn_frames_are_not_counted(book: Book, night: NightRecord) -> None:
    book.projects.add(VEIL, None, 2.0)
    kept = book.timeline.keep(night.id, exposed(VEIL, 20, 180.0, "Ha"))
    assert book.projects.all()[0].held_hours == pytest.approx(1.0)
    fixed = book.timeline.correct(kept.id, exposed(VEIL, 10, 180.0, "Ha"))
    assert book.projects.all()[0].held_hours == pytest.approx(0.5)
    book.timeline.withdraw(fixed.id)
    assert book.projects.all()[0].held_hours == 0.0
    assert book.projects.all()[0].last_date is None
    book.units.take_back()
    assert book.projects.all()[0].held_hours == pytest.approx(0.5)


def test_what_is_owed_most_comes_first(book: Book, night: NightRecord) -> None:
    book.projects.add(VEIL, "Ha", 3.0)
    book.projects.add(M31, None, 4.0)
    book.timeline.keep(night.id, exposed(M31, 60, 180.0, "L"))
    assert [each.target.name for each in book.projects.all()] == [
        "Western Veil",
        "Andromeda Galaxy",
    ]
    book.timeline.keep(night.id, exposed(VEIL, 70, 180.0, "Ha", minutes=200))
    assert [each.owed_hours for each in book.projects.all()] == [1.0, 0.0]


def test_a_project_is_edited_and_retired_but_its_frames_stay(
    book: Book, night: NightRecord
) -> None:
    number = book.projects.add(VEIL, "Ha", 3.0, "the whole loop")
    book.timeline.keep(night.id, exposed(VEIL, 20, 180.0, "OIII"))
    book.projects.revise(number, "OIII", 5.0)
    assert book.projects.all()[0].held_hours == pytest.approx(1.0)
    book.projects.retire(number)
    assert book.projects.all() == ()
    held = book.holdings.of("NGC6960")
    assert held is not None
    assert held.hours == pytest.approx(1.0)
    with pytest.raises(NotFound):
        book.projects.revise(number, "OIII", 5.0)


def test_the_same_project_twice_is_refused(book: Book) -> None:
    book.projects.add(VEIL, "Ha", 3.0)
    book.projects.add(VEIL, "OIII", 3.0)
    with pytest.raises(BadInput, match="already"):
        book.projects.add(VEIL, "HA", 6.0)
    oiii = next(each for each in book.projects.all() if each.filter_name == "OIII")
    with pytest.raises(BadInput, match="already"):
        book.projects.revise(oiii.id, "Ha", 6.0)


@pytest.mark.parametrize("hours", [0.0, -1.0, float("nan"), float("inf"), 1e6])
def test_hours_that_cannot_be_wanted_are_refused(book: Book, hours: float) -> None:
    with pytest.raises(BadInput):
        book.projects.add(VEIL, "Ha", hours)
    assert book.projects.all() == ()


def test_what_the_book_holds_of_an_object(book: Book, night: NightRecord, clock: Clock) -> None:
    book.timeline.keep(night.id, NewEntry("object", EVENING, "start", "start", target=VEIL))
    book.timeline.keep(night.id, exposed(VEIL, 20, 180.0, "Ha"))
    book.timeline.keep(night.id, exposed(VEIL, 20, 90.0, None, minutes=60))
    book.nights.end(night.id, clock.forward(hours=5))
    later = clock.forward(days=3)
    second = book.nights.start(night.site_id, None, "", later)
    looked = NewEntry("object", later, "start", "start", target=VEIL)
    book.timeline.keep(second.id, looked)
    held = book.holdings.of("NGC6960")
    assert held is not None
    assert held.hours_by_filter == ((None, 0.5), ("Ha", 1.0))
    assert (held.frames, held.nights) == (40, 2)
    assert held.first_date == night.local_date
    assert held.last_date == second.local_date
    assert book.holdings.all() == {"NGC6960": held}
    assert book.holdings.of("NGC0224") is None


def test_the_newest_running_order_of_a_night_counts(book: Book, site: Site) -> None:
    place = book.sites.add(site)
    evening = date(2025, 10, 4)
    first = OrderItem(VEIL, EVENING, EVENING + timedelta(hours=2), "crosses at 21:10")
    second = OrderItem(JUPITER, EVENING + timedelta(hours=2))
    assert book.running_orders.newest(place.id, evening) is None
    book.running_orders.keep(place.id, evening, [first, second])
    kept = book.running_orders.keep(place.id, evening, [second, first])
    found = book.running_orders.newest(place.id, evening)
    assert found == kept
    assert found.items == (second, first)
    assert book.running_orders.newest(place.id, evening + timedelta(days=1)) is None


def test_each_site_and_date_has_its_own_running_order(book: Book, site: Site) -> None:
    here: SiteRecord = book.sites.add(site)
    there = book.sites.add(Site("Far Field", 40.0, 10.0, 0.0, "UTC"))
    evening = date(2025, 10, 4)
    book.running_orders.keep(here.id, evening, [OrderItem(VEIL)])
    book.running_orders.keep(here.id, evening, [OrderItem(M31)])
    book.running_orders.keep(here.id, evening + timedelta(days=1), [OrderItem(JUPITER)])
    book.running_orders.keep(there.id, evening, [])
    latest = book.running_orders.latest(here.id)
    assert [[item.target.name for item in each.items] for each in latest] == [
        ["Jupiter"],
        ["Andromeda Galaxy"],
    ]
    cleared = book.running_orders.newest(there.id, evening)
    assert cleared is not None
    assert cleared.items == ()


def test_an_order_that_cannot_be_is_refused_whole(book: Book, site: Site) -> None:
    place = book.sites.add(site)
    backwards = OrderItem(VEIL, EVENING, EVENING - timedelta(minutes=1))
    naive = OrderItem(VEIL, EVENING.replace(tzinfo=None))
    for items in ([OrderItem(M31), backwards], [naive]):
        with pytest.raises(BadInput):
            book.running_orders.keep(place.id, date(2025, 10, 4), items)
    with pytest.raises(NotFound):
        book.running_orders.keep(99, date(2025, 10, 4), [OrderItem(M31)])
    assert book.running_orders.newest(place.id, date(2025, 10, 4)) is None
