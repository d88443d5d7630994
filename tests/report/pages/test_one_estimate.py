"""What a telescope's mirror and a train's focus do is learned once and shown alike everywhere.

The readings come from `tests.kit.outside`: plates in layers and tubes that follow late, both
integrated, in air that falls. Three trains are on one book: two share a telescope, each has a
focuser that counts on its own scale, and some nights change the train half way.
"""

import re
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

import numpy as np
import pytest

from logbook.commands.train_cmd import print_trains
from logbook.kit.parts.part import STATED, Part, Value
from logbook.kit.thermal.focus_fit import FocusSlope
from logbook.kit.thermal.tube_constant import TubeConstant
from logbook.records.entries import NewEntry
from logbook.report.pages.trends import Series, read_trends
from logbook.report.render.keys import PageKey
from logbook.screen.pages.kit.learned import read_learned
from logbook.screen.services.live_hints import read_lessons
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.opening import open_book
from tests.kit.outside import Readings, a_night, constant_min, focus_night
from tests.report.documents import as_text, read_document

FIRST = datetime(2026, 2, 3, 18, tzinfo=UTC)
PLATES = {"Long": (0.030, 8.0), "Short": (0.012, 10.0)}  # thickness in m, heat in W/(m² K)
TRAINS = {"native": ("Long", -24.0), "reduced": ("Long", -36.0), "wide": ("Short", -4.4)}
NIGHTS_EACH = 8


@pytest.fixture(scope="module")
def book(empty_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    path = Path(shutil.copyfile(empty_book, tmp_path_factory.mktemp("estimates") / "book.db"))
    end = FIRST + timedelta(days=3 * NIGHTS_EACH * len(TRAINS))
    with open_book(path, clock=lambda: end) as opened:
        _fill(opened, np.random.default_rng(17))
        yield opened


def _fill(book: Book, rng: np.random.Generator) -> None:
    site = book.sites.add(Site("Skerry", 52.0, -3.0, 5.0, "UTC"))
    size = (Value("focal_length_mm", STATED, 1600.0), Value("aperture_mm", STATED, 200.0))
    part_ids = {name: book.kit.add_part(Part(name, "telescope", size)).id for name in PLATES}
    trains = {
        name: book.kit.add_train(name, "visual", (part_ids[telescope],)).id
        for name, (telescope, _) in TRAINS.items()
    }
    names = list(TRAINS)
    for number in range(NIGHTS_EACH * len(TRAINS)):
        name, begun = names[number % 3], FIRST + timedelta(days=3 * number)
        night = book.nights.start(site.id, trains[name], "", begun)
        for entry in _entries(rng, name, begun):
            book.timeline.keep(night.id, entry)
        last = begun + timedelta(hours=9)
        if number % 4 == 0:  # the other focuser and the other mirror, at the end of the night
            other = names[(number + 1) % 3]
            book.timeline.keep(night.id, NewEntry("kit", last, f"train {other}", train_name=other))
            taken = {"focus_position": 31000.0, "air_temperature_c": -9.0}
            book.timeline.keep(night.id, _read(last, "focus", taken))
        book.nights.end(night.id, last + timedelta(minutes=5))


def _entries(rng: np.random.Generator, train: str, begun: datetime) -> list[NewEntry]:
    telescope, per_k = TRAINS[train]
    air, mirror = a_night(rng, *PLATES[telescope], noise=0.1)
    found = _reads(begun, "air_temperature_c", air)
    found += _reads(begun, "mirror_temperature_c", mirror)
    later = begun + timedelta(hours=5)
    for place, (celsius, position) in enumerate(focus_night(rng, per_k, abs(per_k) / 2.0)):
        taken = {"focus_position": position, "air_temperature_c": celsius}
        found.append(_read(later + timedelta(minutes=30 * place), "focus", taken))
    return sorted(found, key=lambda each: each.happened_utc)


def _reads(begun: datetime, quantity: str, readings: Readings) -> list[NewEntry]:
    return [
        _read(begun + timedelta(minutes=at), "reading", {quantity: degrees})
        for at, degrees in readings
    ]


def _read(at: datetime, kind: str, readings: dict[str, float]) -> NewEntry:
    return NewEntry(kind, at, kind, readings=tuple(readings.items()))


def _series(book: Book) -> dict[str, Series]:
    return {each.name: each for each in read_trends(book).series}


def _parts(book: Book) -> dict[str, int]:
    return {each.part.name: each.id for each in book.kit.parts()}


@pytest.mark.parametrize("telescope", PLATES)
def test_each_mirror_has_its_own_constant(book: Book, telescope: str) -> None:
    truth = constant_min(*PLATES[telescope])
    found = book.learned.constant(_parts(book)[telescope])
    assert isinstance(found, TubeConstant)
    assert found.low_min <= truth <= found.high_min
    assert found.high_min - found.low_min < 0.2 * truth
    points = [value for _, value in _series(book)[f"Cooling of the mirror, {telescope}"].points]
    assert len(points) >= NIGHTS_EACH - 1
    assert median(points) == pytest.approx(truth, rel=0.05)


@pytest.mark.parametrize("train", TRAINS)
def test_each_train_has_its_own_slope(book: Book, train: str) -> None:
    per_k = TRAINS[train][1]
    found = book.learned.focus(book.kit.train_named(train).id)
    assert isinstance(found, FocusSlope)
    assert found.low_per_k <= per_k <= found.high_per_k
    points = [value for _, value in _series(book)[f"Focus for each K of air, {train}"].points]
    assert points
    assert median(points) == pytest.approx(per_k, rel=0.25)


def test_the_same_number_stands_on_every_page(
    book: Book, capsys: pytest.CaptureFixture[str]
) -> None:
    trends = " ".join(as_text(read_document(book, PageKey("trends", "all"))).split())
    parts, learned = _parts(book), read_learned(book, book.kit.trains(), book.kit.parts())
    for train, (telescope, _) in TRAINS.items():
        record = book.kit.train_named(train)
        constant, slope = book.learned.constant(parts[telescope]), book.learned.focus(record.id)
        assert isinstance(constant, TubeConstant)
        history = " ".join(as_text(read_document(book, PageKey("train", train))).split())
        for words in (constant.words, slope.words.replace("-", "−")):
            assert words.replace("-", "−") in trends.replace("-", "−")
            assert words in history.replace("-", "−")
        assert learned.constant_of(record, book.kit.parts()) == constant
        assert learned.slopes[record.id] == slope
        print_trains(book, train, as_json=False)
        wanted = r"cooling down +(\d+) min +from 10 K warm to 0.5 K"
        fall = re.search(wanted, capsys.readouterr().out)
        assert fall is not None
        assert int(fall[1]) == round(constant.tau_min * np.log(20.0))


def test_a_night_that_changed_its_train_tells_of_the_mirror_that_was_read(book: Book) -> None:
    night = book.nights.on(FIRST.date())
    cooling = book.learned.cooling(night.id)
    assert cooling.fit is not None
    assert cooling.fit.low_min <= constant_min(*PLATES["Long"]) <= cooling.fit.high_min
    for train in TRAINS:
        focused = book.learned.focusings(book.kit.train_named(train).id)
        assert len(focused) >= NIGHTS_EACH
        assert all(max(p for _, p in night) - min(p for _, p in night) < 1000 for night in focused)


def test_the_reminder_goes_by_the_slope_of_the_train_in_use(book: Book) -> None:
    changed = read_lessons(book, book.nights.on(FIRST.date()).id).suggested
    assert changed is not None  # it ended with the reduced train, focused at 31000 and −9 °C
    assert changed.position == pytest.approx(31000.0, abs=1.0)
