"""A hundred pairs of nights with planted changes: each change is found, the cause comes first."""

import random
import shutil
from collections.abc import Iterator

import pytest

from logbook.report.compare.compare import Comparison, compare_nights
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from tests.clock import Clock
from tests.report.compare.pairs import CAUSES, Maker, Pair

pytestmark = pytest.mark.slow

SEED, PAIRS, FIRST_PLACES, AT_LEAST = 7, 100, 3, 90


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    folder = tmp_path_factory.mktemp("pairs")
    clock = Clock()
    with open_book(make_book(folder / "pairs.db"), clock=clock) as opened:
        yield opened
    shutil.rmtree(folder)


@pytest.fixture(scope="module")
def compared(book: Book) -> list[tuple[Pair, Comparison]]:
    clock = book.timeline._clock
    assert isinstance(clock, Clock)
    maker = Maker(book, clock, random.Random(SEED))
    maker.begin()
    pairs = [maker.pair() for _ in range(PAIRS)]
    return [(pair, compare_nights(book, pair.now_id, pair.then_id)) for pair in pairs]


def place_of(pair: Pair, found: Comparison) -> int:
    """The place of the planted cause, from 1; 0 if it was not found."""
    told = (n for n, each in enumerate(found.differences, 1) if pair.cause.told_by(each))
    return next(told, 0)


def test_every_planted_change_is_found(compared: list[tuple[Pair, Comparison]]) -> None:
    missed = [
        (planted.name, pair.now_id)
        for pair, found in compared
        for planted in (pair.cause, *pair.harmless)
        if not any(planted.told_by(each) for each in found.differences)
    ]
    assert missed == []


def test_the_planted_cause_is_among_the_first_three(
    compared: list[tuple[Pair, Comparison]], capsys: pytest.CaptureFixture[str]
) -> None:
    places = [place_of(*each) for each in compared]
    good = sum(1 <= place <= FIRST_PLACES for place in places)
    with capsys.disabled():
        print(f"\nplanted cause in the first three: {good} of {PAIRS}; first: {places.count(1)}")
    assert {pair.cause.name for pair, _ in compared} == {each.planted.name for each in CAUSES}
    assert good >= AT_LEAST


def test_every_planted_night_came_out_worse(compared: list[tuple[Pair, Comparison]]) -> None:
    """Else there would be nothing to explain."""
    assert {found.outcome.verdict for _, found in compared} == {"worse"}


def test_every_difference_has_its_numbers_and_its_reason(
    compared: list[tuple[Pair, Comparison]],
) -> None:
    for _, found in compared:
        for each in found.differences:
            assert each.before
            assert each.after
            assert each.before != each.after
            assert each.reason
        weights = [each.weight for each in found.differences]
        assert weights == sorted(weights, reverse=True)
