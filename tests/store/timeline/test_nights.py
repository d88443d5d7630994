"""Nights: which evening they belong to, starting, taking up again, ending, and the list of them."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from logbook.errors import BadInput, NotFound
from logbook.records.entries import Frames, NewEntry, NightRecord, TargetCopy, TrainRecord, Turn
from logbook.sky.night.site import Site
from logbook.store.book import Book
from tests.clock import EVENING, Clock


@pytest.mark.parametrize(
    ("zone", "instant", "evening"),
    [
        ("Europe/Vienna", "2025-10-04T19:00", "2025-10-04"),
        ("Europe/Vienna", "2025-10-05T02:30", "2025-10-04"),
        ("Europe/Vienna", "2025-10-05T09:59", "2025-10-04"),  # 11:59 in summer time
        ("Europe/Vienna", "2025-10-05T10:00", "2025-10-05"),
        ("Europe/Vienna", "2025-10-26T00:30", "2025-10-25"),  # in the hour that comes twice
        ("Europe/Vienna", "2025-10-26T10:59", "2025-10-25"),  # 11:59 in winter time, 25 h later
        ("Pacific/Auckland", "2025-10-04T09:00", "2025-10-04"),
        ("Pacific/Kiritimati", "2025-10-04T09:00", "2025-10-04"),  # 23:00, 14 h ahead
        ("Pacific/Honolulu", "2025-10-05T08:00", "2025-10-04"),
        ("UTC", "2025-12-31T23:59", "2025-12-31"),
        ("UTC", "2026-01-01T11:59", "2025-12-31"),
    ],
)
def test_a_night_belongs_to_the_evening_of_its_site(
    book: Book, site: Site, zone: str, instant: str, evening: str
) -> None:
    where = book.sites.add(replace(site, time_zone=zone))
    started = datetime.fromisoformat(instant).replace(tzinfo=UTC)
    night = book.nights.start(where.id, None, "", started)
    assert night.local_date == date.fromisoformat(evening)
    assert book.nights.on(date.fromisoformat(evening)) == night


def test_a_night_is_in_progress_until_it_is_ended(book: Book, night: NightRecord) -> None:
    assert book.nights.in_progress() == night
    ended = book.nights.end(night.id, EVENING + timedelta(hours=5))
    assert ended == replace(night, ended_utc=EVENING + timedelta(hours=5))
    assert book.nights.in_progress() is None
    assert book.nights.latest() == ended


def test_a_night_ended_too_soon_is_taken_up_again(book: Book, night: NightRecord) -> None:
    book.nights.end(night.id, EVENING + timedelta(hours=1))
    assert night.train is not None
    again = book.nights.start(
        night.site_id, night.train.id, "somebody", EVENING + timedelta(hours=4)
    )
    assert again == night
    assert book.timeline.of_night(night.id) == ()


def test_a_night_taken_up_with_another_train_says_so(
    book: Book, night: NightRecord, train: TrainRecord
) -> None:
    other = book.kit.add_train("Eye", "visual", train.part_ids[:1])
    later = EVENING + timedelta(hours=2)
    again = book.nights.start(night.site_id, other.id, "", later)
    assert again.train == train
    (said,) = book.timeline.of_night(night.id)
    assert (said.content.kind, said.content.train_name) == ("kit", "Eye")
    assert said.content.happened_utc == later
    assert book.timeline.train_in_use(night.id, later) == other


def test_a_night_forgotten_open_is_ended_at_its_last_entry(
    book: Book, night: NightRecord, note: Callable[..., NewEntry]
) -> None:
    book.timeline.keep(night.id, note("clouds", minutes=90))
    tomorrow = book.nights.start(night.site_id, None, "", EVENING + timedelta(days=1))
    assert book.nights.get(night.id).ended_utc == EVENING + timedelta(minutes=90)
    assert book.nights.in_progress() == tomorrow


def test_a_night_cannot_end_before_it_started(book: Book, night: NightRecord) -> None:
    with pytest.raises(BadInput, match="before it started"):
        book.nights.end(night.id, EVENING - timedelta(seconds=1))
    assert book.nights.in_progress() == night


def test_a_start_without_a_time_zone_is_refused(book: Book, site: Site) -> None:
    where = book.sites.add(site)
    with pytest.raises(BadInput, match="no time zone"):
        book.nights.start(where.id, None, "", datetime(2025, 10, 4, 19, 0))  # noqa: DTZ001
    with pytest.raises(NotFound, match="no site number 99"):
        book.nights.start(99, None, "", EVENING)
    with pytest.raises(NotFound, match="no train number 99"):
        book.nights.start(where.id, 99, "", EVENING)
    assert book.nights.summaries() == []


def test_an_unknown_date_is_answered_with_the_nights_nearest_to_it(book: Book, site: Site) -> None:
    with pytest.raises(NotFound, match="There are no nights yet"):
        book.nights.on(date(2025, 10, 4))
    where = book.sites.add(site)
    for days in (0, 3, 40, 90):
        book.nights.start(where.id, None, "", EVENING + timedelta(days=days))
    with pytest.raises(NotFound, match="nearest nights are 2025-10-04, 2025-10-07, 2025-11-13"):
        book.nights.on(date(2025, 10, 8))


def test_two_sites_may_have_a_night_on_one_date(book: Book, site: Site) -> None:
    here = book.sites.add(site)
    there = book.sites.add(replace(site, name="Elsewhere"))
    first = book.nights.start(here.id, None, "", EVENING)
    second = book.nights.start(there.id, None, "", EVENING + timedelta(hours=3))
    assert book.nights.on(first.local_date, here.id).id == first.id
    assert book.nights.on(first.local_date, there.id) == second


CLOUD = TargetCopy("test 1", "Test Cloud", "nebula", 10.0, 20.0)
RING = TargetCopy("test 2", "Test Ring", "nebula", 30.0, 20.0)


def frames(minutes: float, target: TargetCopy, count: int, kind: str = "light") -> NewEntry:
    shot = Frames(count, 120.0, frame_type=kind)
    happened = EVENING + timedelta(minutes=minutes)
    return NewEntry("frames", happened, f"{count} x 120s", target=target, frames=shot)


def test_the_list_of_nights_sums_up_what_stands(
    book: Book, night: NightRecord, note: Callable[..., NewEntry]
) -> None:
    kept = [
        book.timeline.keep(night.id, each)
        for each in (
            frames(10, RING, 20),
            frames(60, CLOUD, 30),
            frames(80, RING, 10),
            frames(90, RING, 50, "dark"),
            NewEntry("turn", EVENING, "turn a 1/8", turn=Turn("A", 0.125)),
            note("taken out later"),
        )
    ]
    book.timeline.correct(kept[1].id, frames(60, CLOUD, 33))
    book.timeline.withdraw(kept[5].id)
    (summary,) = book.nights.summaries()
    assert summary.night == night
    assert (summary.entries, summary.frames, summary.turns) == (5, 63, 1)
    assert summary.exposure_s == 63 * 120.0
    assert summary.objects == ("Test Ring", "Test Cloud")


def test_an_empty_night_is_in_the_list(book: Book, night: NightRecord) -> None:
    (summary,) = book.nights.summaries()
    assert summary.night == night
    assert (summary.entries, summary.frames, summary.exposure_s) == (0, 0, 0.0)
    assert (summary.objects, summary.turns) == ((), 0)


def test_the_list_is_read_page_by_page_newest_first(book: Book, site: Site) -> None:
    here = book.sites.add(site)
    there = book.sites.add(replace(site, name="Elsewhere"))
    for days in range(7):
        book.nights.start(here.id, None, "", EVENING + timedelta(days=days))
        book.nights.start(there.id, None, "", EVENING + timedelta(days=days, hours=1))
    seen: list[int] = []
    before: date | None = None
    while page := book.nights.summaries(3, before):
        assert len(page) <= 4
        seen.extend(each.night.id for each in page)
        before = page[-1].night.local_date
    assert len(seen) == len(set(seen)) == 14
    assert book.nights.summaries(0) == []


def test_what_was_recorded_when_comes_from_the_books_clock(
    book: Book, night: NightRecord, note: Callable[..., NewEntry], clock: Clock
) -> None:
    now = clock.forward(hours=3)
    kept = book.timeline.keep(night.id, note("written up late", minutes=10))
    assert kept.recorded_utc == now
    assert kept.content.happened_utc == EVENING + timedelta(minutes=10)
