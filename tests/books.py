"""Books to test with: made once by the migrations, copied for each test."""

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from logbook.kit.parts.part import Part
from logbook.records.entries import NewEntry, NightRecord, TrainRecord
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from tests.clock import EVENING, Clock, zone_far_from_noon


@pytest.fixture(scope="session")
def empty_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_book(tmp_path_factory.mktemp("template") / "empty.db")


@pytest.fixture
def book_path(empty_book: Path, tmp_path: Path) -> Path:
    return Path(shutil.copyfile(empty_book, tmp_path / "night.db"))


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def book(book_path: Path, clock: Clock) -> Iterator[Book]:
    with open_book(book_path, clock=clock) as opened:
        yield opened


@pytest.fixture
def site() -> Site:
    return Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna", ((0.0, 12.0), (180.0, 4.0)))


@pytest.fixture
def train(book: Book) -> TrainRecord:
    telescope = book.kit.add_part(Part("Long Tube", "telescope").with_number("aperture_mm", 250))
    camera = book.kit.add_part(Part("Small Chip", "camera").with_number("pixel_um", 3.76))
    return book.kit.add_train("Planet train", "camera", (telescope.id, camera.id))


@pytest.fixture
def night(book: Book, site: Site, train: TrainRecord) -> NightRecord:
    where = book.sites.add(site)
    return book.nights.start(where.id, train.id, "R. Quill", EVENING)


def begun_night(
    book: Book, site: Site, started_utc: datetime = EVENING, train_id: int | None = None
) -> NightRecord:
    """A night begun at a site that the book has not yet."""
    return book.nights.start(book.sites.add(site).id, train_id, "R. Quill", started_utc)


def night_in_progress(book: Book, site_name: str = "Skerry") -> NightRecord:
    """A night begun an hour ago by the real clock, for commands that read no other."""
    site = Site(site_name, 52.0, -3.0, 5.0, zone_far_from_noon())
    return begun_night(book, site, datetime.now(UTC) - timedelta(hours=1))


@pytest.fixture
def note() -> Callable[..., NewEntry]:
    def make(text: str, *, minutes: float = 0.0) -> NewEntry:
        return NewEntry("note", EVENING + timedelta(minutes=minutes), text)

    return make
