"""What the readings of a book teach, through an open book."""

import math
from collections.abc import Callable
from datetime import timedelta

import pytest

from logbook.errors import BadInput, NotFound
from logbook.kit.thermal.focus_fit import FocusSlope, Suggested
from logbook.kit.thermal.tube_constant import TubeConstant
from logbook.kit.thermal.uncertainty import NotLearned
from logbook.records.entries import NewEntry, NightRecord, TrainRecord
from logbook.store.book import Book
from tests.clock import EVENING, Clock

TAU_MIN = 40.0
Keep = Callable[..., int]


@pytest.fixture
def keep(book: Book) -> Keep:
    def kept(night: NightRecord, minutes: float, **readings: float) -> int:
        at = night.started_utc + timedelta(minutes=minutes)
        entry = NewEntry("reading", at, "as read", readings=tuple(readings.items()))
        return book.timeline.keep(night.id, entry).id

    return kept


def cool(keep: Keep, night: NightRecord, tau_min: float = TAU_MIN, body: str = "mirror") -> None:
    """Readings to 0.1 K, from 12 K above a steady air of 5 °C."""
    for minutes in (0, 20, 40, 60, 80, 100):
        degrees = round(5.0 + 12.0 * math.exp(-minutes / tau_min), 1)
        keep(night, minutes, air_temperature_c=5.0, **{f"{body}_temperature_c": degrees})


def more_nights(book: Book, clock: Clock, first: NightRecord, count: int) -> list[NightRecord]:
    found = [first]
    for _ in range(count):
        book.nights.end(found[-1].id, clock())
        at = clock.forward(days=1)
        train_id = first.train.id if first.train else None
        found.append(book.nights.start(first.site_id, train_id, "R. Quill", at))
    return found


def test_a_night_of_cooling_gives_the_constant_and_when_it_is_within(
    book: Book, night: NightRecord, keep: Keep
) -> None:
    cool(keep, night)
    found = book.learned.cooling(night.id, to_k=0.5)
    assert found.fit is not None
    assert found.within is not None
    assert found.fit.low_min <= TAU_MIN <= found.fit.high_min
    assert found.within.early_min <= TAU_MIN * math.log(24.0) <= found.within.late_min
    assert "constant 40 min" in found.words


def test_a_reading_taken_out_no_longer_counts(book: Book, night: NightRecord, keep: Keep) -> None:
    cool(keep, night)
    wrong = keep(night, 50, mirror_temperature_c=60.0)
    spoiled = book.learned.cooling(night.id)
    book.timeline.withdraw(wrong)
    fit = book.learned.cooling(night.id).fit
    assert len(spoiled.body) == 7
    assert fit is not None
    assert fit.count == 6


def test_tube_and_mirror_are_kept_apart(book: Book, night: NightRecord, keep: Keep) -> None:
    cool(keep, night, 40.0)
    cool(keep, night, 15.0, body="tube")
    mirror, tube = (book.learned.cooling(night.id, body).fit for body in ("mirror", "tube"))
    assert mirror is not None
    assert tube is not None
    assert mirror.tau_min == pytest.approx(40.0, rel=0.03)
    assert tube.tau_min == pytest.approx(15.0, rel=0.03)


def test_the_tubes_own_constant_needs_three_nights(
    book: Book, night: NightRecord, keep: Keep, clock: Clock, train: TrainRecord
) -> None:
    telescope_id = train.part_ids[0]
    nights = more_nights(book, clock, night, 2)
    for each, tau_min in zip(nights[:2], (38.0, 42.0), strict=True):
        cool(keep, each, tau_min)
    early = book.learned.constant(telescope_id)
    assert isinstance(early, NotLearned)
    assert "2 so far" in early.words
    cool(keep, nights[2], 40.0)
    learned = book.learned.constant(telescope_id)
    assert isinstance(learned, TubeConstant)
    assert learned.nights == 3
    assert learned.low_min < 40.0 < learned.high_min
    assert learned.tau_min == pytest.approx(40.0, rel=0.03)
    assert isinstance(book.learned.constant(telescope_id, "tube"), NotLearned)


def test_focus_is_suggested_for_the_air_as_it_is_now(
    book: Book, night: NightRecord, keep: Keep, clock: Clock, train: TrainRecord
) -> None:
    nights = more_nights(book, clock, night, 1)
    for number, each in enumerate(nights):  # the camera sat 300 steps differently
        for minutes, celsius in ((0, 10.0), (60, 8.0), (120, 6.0)):
            position = 5000.0 + 300.0 * number - 20.0 * celsius + (minutes == 60)
            keep(each, minutes, air_temperature_c=celsius, focus_position=position)
    keep(nights[1], 200, air_temperature_c=3.0)
    slope = book.learned.focus(train.id)
    now = book.learned.suggested_focus(nights[1].id)
    assert isinstance(slope, FocusSlope)
    assert slope.per_k == pytest.approx(-20.0, abs=0.01)
    assert isinstance(now, Suggested)
    assert now.position == pytest.approx(5240.0, abs=1.0)
    assert now.since_k == book.learned.since_focus(nights[1].id) == pytest.approx(-3.0)
    assert now.redo  # more than the set step of 2 K


def test_dew_counts_from_the_coldest_surface(book: Book, night: NightRecord, keep: Keep) -> None:
    keep(night, 0, air_temperature_c=10.0, humidity_percent=80.0)
    keep(night, 10, mirror_temperature_c=7.5, tube_temperature_c=6.0)
    now = book.learned.dew(night.id)
    assert now is not None
    assert now.dew_point_c == pytest.approx(6.708, abs=5e-3)
    assert now.surface == "tube"
    assert now.least_k == pytest.approx(-0.708, abs=5e-3)
    assert "BELOW" in now.words
    assert len(book.learned.dew_line(night.id)) == 2


def test_humidity_read_hours_ago_says_nothing_of_now(
    book: Book, night: NightRecord, keep: Keep
) -> None:
    keep(night, 0, air_temperature_c=10.0, humidity_percent=80.0)
    keep(night, 120, air_temperature_c=4.0)
    assert len(book.learned.dew_line(night.id)) == 1


def test_an_empty_night_is_told_so(book: Book, night: NightRecord, train: TrainRecord) -> None:
    assert book.learned.dew(night.id) is None
    assert book.learned.since_focus(night.id) is None
    assert "none so far" in book.learned.cooling(night.id).words
    assert isinstance(book.learned.focus(train.id), NotLearned)
    assert isinstance(book.learned.suggested_focus(night.id), NotLearned)
    assert isinstance(book.learned.constant(train.part_ids[0]), NotLearned)


def test_what_is_not_there_is_refused(book: Book, night: NightRecord) -> None:
    with pytest.raises(BadInput, match="mirror or tube"):
        book.learned.cooling(night.id, "dome")
    with pytest.raises(NotFound):
        book.learned.cooling(night.id + 99)
    assert night.started_utc == EVENING
