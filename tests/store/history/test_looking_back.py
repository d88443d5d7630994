"""Many nights: what the database counts, and what is cached of it, is what stands in the book."""

import random
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import timedelta
from pathlib import Path
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.errors import NotWritten
from logbook.kit.parts.part import Part
from logbook.records.entries import EntryRecord, Frames, NewEntry
from logbook.records.history import Light, LightThrough, Spread, mean_of
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.history import learned_rows, looking_back, night_cache
from logbook.store.history import nights as looking_back_nights
from logbook.store.opening import open_book
from tests.clock import EVENING, Clock

NIGHTS = 5
QUANTITIES = ("fwhm_arcsec", "focus_position", "air_temperature_c")
FIRST, LAST = EVENING.date() + timedelta(days=2), EVENING.date() + timedelta(days=8)


@dataclass(frozen=True)
class Desk:
    """A book, the same book as another program has it open, and its nights."""

    book: Book
    other: Book
    clock: Clock
    nights: tuple[int, ...]
    read: dict[int, tuple[EntryRecord, ...]] = field(default_factory=dict)

    def read_anew(self) -> None:
        """Entry by entry, as the nights stand now."""
        self.read.update({each: self.book.timeline.of_night(each) for each in self.nights})

    def standing(self, night_ids: set[int]) -> Iterator[tuple[int, EntryRecord]]:
        for night_id in sorted(night_ids):
            for each in self.read[night_id]:
                yield night_id, each

    def of_span(self) -> set[int]:
        found = (self.book.nights.get(each) for each in self.nights)
        return {each.id for each in found if FIRST <= each.local_date <= LAST}


@pytest.fixture(scope="module")
def five_nights(empty_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book with five nights, three days apart, and two trains."""
    path = tmp_path_factory.mktemp("nights") / "five.db"
    shutil.copyfile(empty_book, path)
    clock = Clock()
    with open_book(path, clock=clock) as book:
        tube = book.kit.add_part(Part("Long Tube", "telescope"))
        site = book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna", ()))
        trains = [book.kit.add_train(name, "camera", (tube.id,)) for name in ("One", "Two")]
        for number in range(NIGHTS):
            at = EVENING + timedelta(days=3 * number)
            book.nights.start(site.id, trains[number % 2].id, "", at)
    return path


def _something(desk: Desk, draw: random.Random) -> None:
    """One of the things that happen to a book, by this program or the other."""
    desk.clock.forward(seconds=draw.randint(2, 400))
    book, night_id = draw.choice((desk.book, desk.other)), draw.choice(desk.nights)
    at = EVENING + timedelta(days=3 * (night_id - 1), minutes=draw.randint(0, 200))
    # In eighths, so that every way of summing them gives the same mean.
    read = [(each, draw.randint(8, 72) / 8) for each in QUANTITIES if draw.random() < 0.7]
    frames = Frames(draw.randint(1, 20), 60.0, draw.choice((None, "Ha", "OIII")))
    if draw.random() < 0.4:
        frames = Frames(5, 1.0, frame_type="dark")
    new = NewEntry("frames", at, "frames", frames=frames, readings=tuple(read))
    standing = [each.id for each in book.timeline.of_night(night_id)]
    match draw.randint(0, 6):
        case 0 if standing:
            moved = draw.choice((None, night_id, draw.choice(desk.nights)))
            later = timedelta(days=3 * ((moved or night_id) - night_id))
            there = replace(new, happened_utc=at + later)
            book.timeline.correct(draw.choice(standing), there, night_id=moved)
        case 1 if standing:
            book.timeline.withdraw(draw.choice(standing))
        case 2:
            with suppress(NotWritten):  # the other program changed that entry since
                book.units.take_back()
        case 3:
            with suppress(NotWritten):
                book.units.do_again()
        case _:
            book.timeline.keep(night_id, new)


def _spreads(desk: Desk, nights: set[int]) -> dict[int, dict[str, Spread]]:
    read: dict[int, dict[str, list[float]]] = {}
    for night_id, each in desk.standing(nights):
        for quantity, number in each.content.readings:
            read.setdefault(night_id, {}).setdefault(quantity, []).append(number)
    return {
        night_id: {
            name: Spread(len(all_of), fmean(all_of), min(all_of), max(all_of))
            for name, all_of in by_name.items()
        }
        for night_id, by_name in read.items()
    }


def _light(desk: Desk, nights: set[int]) -> dict[int, Light]:
    found: dict[int, Light] = {}
    for night_id, each in desk.standing(nights):
        frames = each.content.frames
        if frames is not None and frames.frame_type == "light":
            before = found.get(night_id, Light(0, 0.0))
            seconds = before.seconds + frames.count * frames.exposure_s
            found[night_id] = Light(before.frames + frames.count, seconds)
    return found


def _light_through(desk: Desk, revision_id: int) -> set[LightThrough]:
    sums: dict[str, Light] = {}
    for _, each in desk.standing(set(desk.nights)):
        frames = each.content.frames
        if frames and frames.frame_type == "light" and each.train_revision_id == revision_id:
            name = frames.filter_name or ""
            before = sums.get(name, Light(0, 0.0))
            seconds = before.seconds + frames.count * frames.exposure_s
            sums[name] = Light(before.frames + frames.count, seconds)
    return {
        LightThrough(revision_id, name, each.frames, each.seconds) for name, each in sums.items()
    }


def _spreads_through(desk: Desk, quantity: str) -> dict[int, dict[int, int]]:
    """By night and revision of a train, how often a quantity was read."""
    found: dict[int, dict[int, int]] = {}
    for night_id, each in desk.standing(set(desk.nights)):
        if quantity in dict(each.content.readings):
            of_night = found.setdefault(night_id, {})
            revision_id = each.train_revision_id or 0
            of_night[revision_id] = of_night.get(revision_id, 0) + 1
    return found


def _check(desk: Desk) -> None:
    desk.read_anew()
    past, every, span = desk.book.past, set(desk.nights), desk.of_span()
    wanted = _spreads(desk, every)
    assert past.spreads(QUANTITIES) == wanted
    assert past.spreads(QUANTITIES, FIRST, LAST) == _spreads(desk, span)
    assert past.spreads_of(QUANTITIES, every) == wanted  # so many that all are read
    assert past.spreads_of(QUANTITIES, span) == _spreads(desk, span)
    assert past.light() == _light(desk, every)
    assert past.light(FIRST, LAST) == _light(desk, span)
    assert set(past.light_through([1])) == _light_through(desk, 1)
    for quantity in QUANTITIES:
        through = past.spreads_through(quantity)
        counts = {
            night_id: {key: each.count for key, each in of_night.items()}
            for night_id, of_night in through.items()
        }
        assert counts == _spreads_through(desk, quantity)
        for night_id, of_night in through.items():
            mean = mean_of(of_night.values())
            assert mean == pytest.approx(wanted[night_id][quantity].mean)


@pytest.mark.slow
@pytest.mark.parametrize("most_nights", [1, 500])
def test_counts_that_are_kept_are_those_of_the_book_as_it_stands(
    five_nights: Path, monkeypatch: pytest.MonkeyPatch, most_nights: int
) -> None:
    """After what this program and another wrote, corrected, took out, undid and did again."""
    monkeypatch.setattr(looking_back, "_MANY", NIGHTS - 1)
    monkeypatch.setattr(looking_back_nights, "_FEW", 1)
    monkeypatch.setattr(night_cache, "_FEW", most_nights)

    @given(st.randoms(use_true_random=False))
    @settings(max_examples=5, deadline=None)
    def check(draw: random.Random) -> None:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(shutil.copyfile(five_nights, Path(folder) / "book.db"))
            clock = Clock()
            with open_book(path, clock=clock) as book, open_book(path, clock=clock) as other:
                desk = Desk(book, other, clock, tuple(range(1, NIGHTS + 1)))
                for _ in range(3):
                    for _ in range(draw.randint(0, 6)):
                        _something(desk, draw)
                    _check(desk)

    check()


def test_a_night_that_an_entry_was_moved_out_of_is_counted_again(
    five_nights: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copyfile(five_nights, tmp_path / "book.db"))
    with open_book(path, clock=Clock()) as book:
        kept = book.timeline.keep(
            2, NewEntry("frames", EVENING, "frames", frames=Frames(3, 60.0, "Ha"))
        )
        assert set(book.past.light()) == {2}
        there = replace(kept.content, happened_utc=EVENING + timedelta(days=3))
        book.timeline.correct(kept.id, there, night_id=3)
        assert set(book.past.light()) == {3}
        book.units.take_back()
        assert set(book.past.light()) == {2}


@pytest.mark.slow
def test_the_latest_nights_are_found_wherever_they_are(
    five_nights: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Among the newest handful or far before it, with enough readings through the train asked."""
    path = Path(shutil.copyfile(five_nights, tmp_path / "book.db"))
    clock, draw = Clock(), random.Random(7)
    with open_book(path, clock=clock) as book, open_book(path, clock=clock) as other:
        desk = Desk(book, other, clock, tuple(range(1, NIGHTS + 1)))
        for _ in range(60):
            _something(desk, draw)
        desk.read_anew()
        found = dict(_read_of_train_one(desk))
        assert len(found) > 1
        for handful in (1, 2, 100):
            monkeypatch.setattr(learned_rows, "HANDFUL", handful)
            for fewest in (1, 2, 3):
                enough = sorted((n for n, count in found.items() if count >= fewest), reverse=True)
                for most in (1, 2, 9):
                    with book._sessions.reading() as session:
                        latest = learned_rows.latest_nights(
                            session, "fwhm_arcsec", [1], fewest, most
                        )
                    assert latest == enough[:most], (handful, fewest, most)


def _read_of_train_one(desk: Desk) -> Iterator[tuple[int, int]]:
    for night_id in desk.nights:
        read = [
            each
            for _, each in desk.standing({night_id})
            if each.train_revision_id == 1 and "fwhm_arcsec" in dict(each.content.readings)
        ]
        if read:
            yield night_id, len(read)
