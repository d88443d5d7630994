"""Pages of one object, one part, one train and one year against sums made by hand."""

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from logbook.errors import BadInput, NotFound
from logbook.kit.parts.part import MEASURED, Part
from logbook.records.entries import Frames, NewEntry, TargetCopy, UpkeepDone
from logbook.report import registry
from logbook.report.pages import object as object_page
from logbook.report.pages import part as part_page
from logbook.report.pages import train as train_page
from logbook.report.pages import year as year_page
from logbook.report.pages.trends import Trends
from logbook.report.registry import load_page
from logbook.report.render.keys import PageKey
from logbook.sky.night.almanac import night as sky_night
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.history import nights
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.report.documents import read_document

EVENING = datetime(2025, 3, 1, 19, 0, tzinfo=UTC)
HOME = Site("Home", 50.0, 15.0, 300.0, "Europe/Prague")
GALAXY = TargetCopy("NGC 224", "Andromeda Galaxy", "galaxy", 10.6847, 41.2688, "And", 178.0, 63.0)
CLUSTER = TargetCopy("NGC 6205", "Hercules Cluster", "globular cluster", 250.42, 36.46)
KINDS = tuple(registry.PAGES)


@pytest.fixture(scope="module")
def season(empty_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = Path(shutil.copyfile(empty_book, tmp_path_factory.mktemp("season") / "season.db"))
    clock = Clock(EVENING)
    with open_book(path, clock=clock) as book:
        write_season(book, clock)
    return path


@pytest.fixture
def empty(empty_book: Path, tmp_path: Path) -> Iterator[Book]:
    with open_book(Path(shutil.copyfile(empty_book, tmp_path / "empty.db"))) as opened:
        yield opened


@pytest.fixture
def book(season: Path, tmp_path: Path) -> Iterator[Book]:
    with open_book(Path(shutil.copyfile(season, tmp_path / "season.db"))) as opened:
        yield opened


def taken(minute: int, count: int, filter_name: str, target: TargetCopy | None) -> NewEntry:
    frames = Frames(count, 120.0, filter_name)
    return NewEntry(
        "frames", EVENING + timedelta(minutes=minute), "frames", target=target, frames=frames
    )


def read(minute: int, **numbers: float) -> NewEntry:
    return NewEntry(
        "reading", EVENING + timedelta(minutes=minute), "read", readings=tuple(numbers.items())
    )


def write_season(book: Book, clock: Clock) -> None:
    """Three nights a week apart with one train; the ring is measured after the second."""
    site = book.sites.add(HOME)
    tube = Part("Tube", "telescope").with_number("aperture_mm", 200)
    tube = tube.with_number("focal_length_mm", 1600)
    ring = Part("Ring", "extension ring").with_number("optical_length_mm", 50)
    ids = tuple(book.kit.add_part(each).id for each in (tube, ring))
    train = book.kit.add_train("Long", "camera", ids)
    for week, width in ((0, 2.4), (1, 1.8), (2, 3.0)):
        start = EVENING + timedelta(weeks=week)
        clock.now = start
        night = book.nights.start(site.id, train.id, "", start)
        entries = [
            NewEntry("object", EVENING, "start", "start", GALAXY),
            taken(30, 10 * (week + 1), "Ha", GALAXY),
            taken(60, 5, "L", None),
            NewEntry("object", EVENING + timedelta(minutes=70), "stop", "stop"),
            NewEntry("object", EVENING + timedelta(minutes=71), "start", "start", CLUSTER),
            taken(80, 3, "L", CLUSTER),
            read(90, fwhm_arcsec=width),
        ]
        for entry in entries:
            happened = entry.happened_utc + timedelta(weeks=week)
            book.timeline.keep(night.id, _moved(entry, happened))
        book.nights.end(night.id, start + timedelta(hours=3))
        if week == 1:
            clock.now = start + timedelta(days=2)
            changed = ring.with_number("optical_length_mm", 49.8, basis=MEASURED, how="callipers")
            book.kit.revise_part(ids[1], changed, "callipers")
            done = UpkeepDone("drawtube greased", "Tube", minutes=20)
            book.timeline.keep(None, NewEntry("upkeep", clock.now, "upkeep", upkeep=done))


def _moved(entry: NewEntry, happened: datetime) -> NewEntry:
    return replace(entry, happened_utc=happened)


def test_an_object_counts_its_frames_named_or_not_by_filter(book: Book) -> None:
    """Frames logged without a name while it was running are its own; another object's are not."""
    page = object_page.load(book, PageKey("object", "andromeda galaxy"))
    sums = {each.filter_name: (each.frames, each.seconds, each.nights) for each in page.filters}
    assert sums == {"Ha": (60, 7200.0, 3), "L": (15, 1800.0, 3)}
    assert len(page.nights) == 3
    assert page.best is not None
    assert page.best.place.local_date == date(2025, 3, 8)


def test_an_object_is_found_by_any_usual_name(book: Book) -> None:
    assert object_page.load(book, PageKey("object", "m31")).target.name == "Andromeda Galaxy"


def test_an_entry_taken_out_counts_no_more(book: Book) -> None:
    night = book.nights.on(date(2025, 3, 15))
    (ha,) = (
        each
        for each in book.timeline.of_night(night.id)
        if each.content.frames and each.content.frames.filter_name == "Ha"
    )
    book.timeline.withdraw(ha.id)
    assert {
        each.filter_name: each.frames
        for each in object_page.load(book, PageKey("object", "m31")).filters
    }["Ha"] == 30
    assert year_page.load(book, PageKey("year", "2025")).months[2].frames == 30 + 3 * 8


def test_a_part_tells_its_values_its_use_and_what_was_done(book: Book) -> None:
    page = part_page.load(book, PageKey("part", "tube"))
    assert page.use.nights == 3
    assert page.use.out_hours == pytest.approx(9.0)
    assert page.use.exposed_hours == pytest.approx((60 + 15 + 9) * 120.0 / 3600.0)
    assert page.since_upkeep is not None
    assert page.since_upkeep.nights == 1
    ring = part_page.load(book, PageKey("part", "Ring"))
    assert [each.revision for each in ring.revisions] == [1, 2]
    assert [each.train.name for each in ring.trains] == ["Long"]
    told = "\n".join(str(each) for each in read_document(book, PageKey("part", "Ring")).sections)
    assert "49.8" in told
    assert "callipers" in told


def test_a_train_tells_its_nights_and_widths_by_revision(book: Book) -> None:
    page = train_page.load(book, PageKey("train", "long"))
    assert [len(each.nights) for each in page.revisions] == [2, 1]
    assert [each.width_arcsec for each in page.revisions] == [pytest.approx(2.1), 3.0]
    assert [round(each.seconds) for each in page.revisions] == [(30 + 16) * 120, (30 + 8) * 120]


def test_a_year_sums_its_months_and_its_objects(book: Book) -> None:
    page = year_page.load(book, PageKey("year", "2025"))
    march = page.months[2]
    assert (march.nights, march.frames) == (3, 84)
    assert page.exposed_hours == pytest.approx(84 * 120.0 / 3600.0)
    assert [name for name, *_ in page.objects] == ["Andromeda Galaxy", "Hercules Cluster"]
    assert [each.width_arcsec for each in page.best] == [1.8, 2.4, 3.0]


def test_the_darkness_of_a_month_is_that_of_its_nights(book: Book) -> None:
    march = year_page.load(book, PageKey("year", "2025")).months[2]
    wanted = sum(sky_night(HOME, date(2025, 3, day)).dark_hours for day in range(1, 32))
    assert march.dark_hours == pytest.approx(wanted, rel=0.002)
    assert march.used == pytest.approx(march.exposed_hours / wanted, rel=0.002)


FIRST_ALONE = PageKey("compare", "2025-03-01", 1)
SECOND_ALONE = PageKey("compare", "2025-03-08", 2)


def test_what_was_counted_ahead_is_not_counted_again_when_a_page_is_asked_for(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    registry.count_ahead(book)

    def counts_again(*_: object) -> None:
        raise AssertionError("counted again")

    monkeypatch.setattr(nights, "spreads", counts_again)
    monkeypatch.setattr(nights, "spreads_through", counts_again)
    monkeypatch.setattr("logbook.kit.thermal.cooling_fit.fit_cooling", counts_again)
    assert isinstance(load_page(book, PageKey("trends", "all")), Trends)


def test_pages_lead_to_each_other(book: Book) -> None:
    """From a night one gets to every kind of page, and each key read leads to its page."""
    start = PageKey("night", "2025-03-15")
    seen, waiting = set(), [start]
    while waiting:
        key = waiting.pop()
        if key in seen:
            continue
        seen.add(key)
        if key not in (FIRST_ALONE, SECOND_ALONE):  # no good night stands before these
            waiting += read_document(book, key).links
    assert {each.kind for each in seen} == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_an_empty_book_says_what_to_do_first(empty: Book, kind: str) -> None:
    names = {"night": "2025-03-01", "compare": "2025-03-01", "year": "2025", "trends": ""}
    with pytest.raises(NotFound) as refused:
        load_page(empty, PageKey(kind, names.get(kind, "Anything")))
    words = {
        "object": "`start` and an object's name",
        "part": "none yet",
        "train": "none yet",
    }
    assert words.get(kind, "press F10 to begin one") in str(refused.value)


@pytest.mark.parametrize(
    ("kind", "name", "words"),
    [
        ("night", "2025-03-02", "The nearest nights are 2025-03-01"),
        ("compare", "2025-03-01 2025-03-02", "The nearest nights are"),
        ("object", "m42", "never logged in this book. Most often logged: Andromeda Galaxy"),
        ("object", "Xyzzy", "Most often logged: Andromeda Galaxy"),
        ("part", "Rung", "Parts: Ring, Tube"),
        ("train", "Longest", "Trains: Long"),
        ("year", "1999", "No night of 1999 is in the book: 2025 to 2025 are."),
        ("compare", "2025-03-01", "No night before 2025-03-01 was good enough"),
    ],
)
def test_what_is_not_there_is_said_with_what_is(
    book: Book, kind: str, name: str, words: str
) -> None:
    with pytest.raises(NotFound) as refused:
        load_page(book, PageKey(kind, name))
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("kind", "name", "words"),
    [
        ("night", "soon", "write YYYY-MM-DD"),
        ("compare", "2025-03-01 soon", "'soon' is not a date: write YYYY-MM-DD"),
        ("compare", "2025-03-01 2025-13-01", "2025-13-01 is not a day of the calendar"),
        ("compare", "2025-03-01 2025-03-01", "one night twice"),
        ("year", "MMXXV", "write it like 2026"),
        ("year", "9999", "out of reach"),
        ("weather", "", "no page of kind"),
    ],
)
def test_what_cannot_be_read_is_said_with_what_can(
    book: Book, kind: str, name: str, words: str
) -> None:
    with pytest.raises(BadInput) as refused:
        load_page(book, PageKey(kind, name))
    assert words in str(refused.value)
