"""Trends are shown as they were put in, and which night was good with its reason."""

import shutil
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from logbook.errors import BadInput
from logbook.records.entries import Frames, NewEntry, StarLook
from logbook.report.compare.compare import compare_with_last_good
from logbook.report.pages.good_nights import last_good
from logbook.report.pages.trends import Trends, read_trends
from logbook.report.registry import load_page
from logbook.report.render.keys import PageKey
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.clock import Clock
from tests.report.documents import read_document

FIRST = datetime(2022, 2, 3, 19, 0, tzinfo=UTC)


@pytest.fixture
def empty(empty_book: Path, tmp_path: Path) -> Iterator[Book]:
    clock = Clock(FIRST)
    with open_book(Path(shutil.copyfile(empty_book, tmp_path / "book.db")), clock=clock) as book:
        book.sites.add(Site("Home", 50.0, 15.0, 300.0, "Europe/Prague"))
        yield book


def night(book: Book, start: datetime, *entries: NewEntry, train_id: int | None = None) -> int:
    """A night of three hours with these entries."""
    clock = book.timeline._clock
    assert isinstance(clock, Clock)
    clock.now = start
    record = book.nights.start(book.sites.all()[0].id, train_id, "", start)
    for entry in entries:
        book.timeline.keep(record.id, entry)
    book.nights.end(record.id, start + timedelta(hours=3))
    return record.id


def read(at: datetime, kind: str = "reading", **numbers: float) -> NewEntry:
    return NewEntry(kind, at, kind, readings=tuple(numbers.items()))


@pytest.fixture(scope="module")
def trends(empty_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Trends:
    """A night a month for a year and a half; star images widen by 0.6″ a year."""
    path = Path(shutil.copyfile(empty_book, tmp_path_factory.mktemp("trends") / "book.db"))
    with open_book(path, clock=Clock(FIRST)) as book:
        book.sites.add(Site("Home", 50.0, 15.0, 300.0, "Europe/Prague"))
        for month in range(18):
            _season_night(book, FIRST + timedelta(days=30 * month), month)
        return read_trends(book)


def _season_night(book: Book, start: datetime, month: int) -> None:
    entries = [NewEntry("star", start, "star", look=StarLook(0.02 * month, 40.0))]
    seen = {"fwhm_arcsec": 2.0 + 0.05 * month, "seeing_of_five": 3.0}
    entries.append(read(start + timedelta(hours=1), "conditions", **seen))
    frames = Frames(10, 360.0)
    entries.append(NewEntry("frames", start + timedelta(hours=2), "frames", frames=frames))
    night(book, start, *entries)


def test_each_series_holds_what_was_logged(trends: Trends) -> None:
    found = {each.name: each for each in trends.series}
    widths = [value for _, value in found["Width of star images, no train named"].points]
    assert widths == pytest.approx([2.0 + 0.05 * month for month in range(18)])
    assert {value for _, value in found["Seeing as judged"].points} == {5.5}
    offsets = [value for _, value in found["Shadow off the centre"].points]
    assert offsets == pytest.approx([0.02 * month for month in range(18)])


def test_how_fast_something_changes_is_said_by_the_year(trends: Trends) -> None:
    found = {each.name: each for each in trends.series}
    slope = found["Width of star images, no train named"].slope_a_year
    assert slope == pytest.approx(0.05 / 30.0 * 365.25)


def test_hours_and_darkness_are_counted_for_every_month(trends: Trends) -> None:
    assert sum(each.exposed_hours for each in trends.months) == pytest.approx(18.0)
    firsts = [each.first for each in trends.months]
    assert firsts[0] == date(2022, 2, 1)
    dark = {each.first: each.dark_hours for each in trends.months}
    assert dark[date(2022, 6, 1)] < 5.0 < 300.0 < dark[date(2022, 12, 1)]


def test_the_last_three_years_are_told_unless_all_are_asked_for(empty: Book) -> None:
    for years in (0, 8):
        start = FIRST + timedelta(days=365 * years)
        night(empty, start, read(start, fwhm_arcsec=2.0))
    whole, usual = (load_page(empty, PageKey("trends", name)) for name in ("all", ""))
    assert isinstance(whole, Trends)
    assert isinstance(usual, Trends)
    assert (whole.first, usual.first) == (date(2022, 2, 3), date(2030, 2, 1))
    one = load_page(empty, PageKey("trends", "2022"))
    assert isinstance(one, Trends)
    assert one.last == date(2022, 2, 3)
    with pytest.raises(BadInput, match="not a year"):
        load_page(empty, PageKey("trends", "lately"))


def test_a_book_without_numbers_says_what_makes_a_trend(empty: Book) -> None:
    night(empty, FIRST, NewEntry("note", FIRST, "note cloud"))
    told = str(read_document(empty, PageKey("trends", "")).sections)
    assert "No series yet" in told


# Which night was good


def widths(book: Book, *found: float | None) -> list[int]:
    """Nights a week apart, each with a width or a note alone."""
    ids = []
    for week, width in enumerate(found):
        start = FIRST + timedelta(weeks=week)
        entry = NewEntry("note", start, "note thin cloud")
        if width is not None:
            entry = read(start, fwhm_arcsec=width)
        ids.append(night(book, start, entry))
    return ids


def test_good_is_the_last_night_of_the_narrowest_third(empty: Book) -> None:
    ids = widths(empty, 1.8, 2.9, 1.9, 3.1, 2.8, 3.0, 4.0)
    good = last_good(empty, empty.nights.get(ids[-1]))
    assert good is not None
    assert good.night_id == ids[2]
    assert "1.90″ wide: in the narrowest third (1.90″) of 6 nights" in good.why


def test_without_widths_seeing_says_which_night_was_good(empty: Book) -> None:
    ids = [
        night(empty, at, read(at, "conditions", seeing_antoniadi=step))
        for at, step in (
            (FIRST + timedelta(weeks=week), step) for week, step in enumerate((2, 4, 5))
        )
    ]
    good = last_good(empty, empty.nights.get(ids[-1]))
    assert good is not None
    assert (good.night_id, "seeing 7.8 of 10" in good.why) == (ids[0], True)


def test_without_numbers_the_nights_own_words_say_it(empty: Book) -> None:
    words = ("note the best night of the winter, stars like needles", "note cloud", "note fog")
    ids = []
    for week, text in enumerate(words):
        start = FIRST + timedelta(weeks=week)
        ids.append(night(empty, start, NewEntry("note", start, text)))
    good = last_good(empty, empty.nights.get(ids[-1]))
    assert good is not None
    assert good.night_id == ids[0]
    assert "best night of the winter" in good.why


def test_a_night_after_is_never_the_one_to_go_by(empty: Book) -> None:
    ids = widths(empty, 2.5, 2.4, 1.0)
    good = last_good(empty, empty.nights.get(ids[1]))
    assert good is None


def test_the_comparison_says_how_the_good_night_was_found(empty: Book) -> None:
    ids = widths(empty, 2.0, 2.9, 3.1)
    found = compare_with_last_good(empty, ids[-1])
    assert found.then.night.id == ids[0]
    assert "2022-02-03 is the last good night before it: star images 2.00″ wide" in found.how_found
    assert found.outcome.verdict == "worse"
