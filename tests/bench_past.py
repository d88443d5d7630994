"""How long looking back takes on twenty years of nights: pages, learning, search, the screen.

`python -m tests.bench_past [nights]` prints it; nothing is asserted. A page should be there within
200 ms. The nights are those of `bench_store`, with what a careful observer reads off in each.
"""

import math
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

from sqlalchemy import func, insert, select, update

from logbook.records.entries import NewEntry, Turn
from logbook.records.search import Wanted
from logbook.report.registry import load_page, render_page
from logbook.report.render.keys import PageKey
from logbook.report.render.text import text_lines
from logbook.screen.services.book_snapshot import read_view
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from logbook.store.tables import models
from logbook.store.upkeep.rules import UpkeepRule
from tests.bench_store import ENTRIES_A_NIGHT, FIRST, TARGETS, _fill

Job = Callable[[Book], object]

REPEATS = 15
A_PAGE_MS = 200.0
WIDTH_EVERY = 8  # so that a night has five
_READ = {  # place in the night: what was read there
    3: ("focus_position", "air_temperature_c"),
    4: ("air_temperature_c", "mirror_temperature_c"),
    5: ("air_temperature_c", "mirror_temperature_c"),
    9: ("seeing_of_five", "transparency_of_five", "humidity_percent"),
    13: ("focus_position", "air_temperature_c"),
    15: ("air_temperature_c", "mirror_temperature_c"),
    23: ("focus_position", "air_temperature_c"),
    25: ("air_temperature_c", "mirror_temperature_c"),
    27: ("air_temperature_c", "mirror_temperature_c"),
    29: ("air_temperature_c", "mirror_temperature_c"),
    31: ("guiding_rms_arcsec",),
}
_USUAL = {
    "focus_position": 12000.0,
    "air_temperature_c": 5.0,
    "mirror_temperature_c": 5.0,
    "seeing_of_five": 3.0,
    "transparency_of_five": 4.0,
    "humidity_percent": 70.0,
    "guiding_rms_arcsec": 0.6,
}
_LOOK_AT = 7
_RULES: tuple[dict[str, Any], ...] = (
    {"every_nights": 40},
    {"every_months": 6},
    {"every_hours_of_use": 200.0},
    {"every_step_c": 8.0},
    {"after_transport": True},
)


def run(nights: int = 5000) -> list[str]:
    """Lines with figures, measured on a generated book of `nights` nights in a temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "past.db"
        make_book(path)
        with open_book(path, clock=lambda: FIRST) as book:
            _fill(book, nights, width_every=WIDTH_EVERY)
            _read_more(book, nights)
            _set_rules(book)
        with open_book(path, read_only=True) as book:
            pages = [(key.words, partial(_told, key=key)) for key in _keys(book)]
            jobs: list[tuple[str, Job]] = [*pages, *_asked(book)]
            for _, job in jobs:  # so that nothing is imported while it is timed
                job(book)
            walk_ms = _middle([_timed(lambda: _walk(book)) for _ in range(REPEATS)])
        lines = [_line(name, job, path, walk_ms) for name, job in jobs]
        screen = _screen(path)
    return [
        f"book of {nights} nights, {nights * ENTRIES_A_NIGHT} entries",
        f"time of the processor, as a share of the {A_PAGE_MS:.0f} ms a page may take, and against "
        f"one walk through all entries ({walk_ms:.0f} ms); first: of a book just opened",
        *lines,
        *screen,
    ]


def _walk(book: Book) -> object:
    with book._sessions.reading() as session:
        return session.scalar(select(func.sum(func.length(models.EntryRow.text))))


def _asked(book: Book) -> list[tuple[str, Job]]:
    """What the screen asks of all nights beside the pages."""
    train, last = book.kit.trains()[0], book.past.places()[-1]
    telescope_id = train.part_ids[0]
    return [
        ("the tube's own constant", lambda book: book.learned.constant(telescope_id)),
        ("one night's cooling", lambda book: book.learned.cooling(last.id)),
        ("focus against temperature", lambda book: book.learned.focus(train.id)),
        ("focus suggested now", lambda book: book.learned.suggested_focus(last.id)),
        ("dew through a night", lambda book: book.learned.dew_line(last.id)),
        ("upkeep that is due", lambda book: book.upkeep.due(last.started_utc)),
        ("search, common words", lambda book: book.search.find(Wanted("clouds west"))),
        ("search, a seldom word", lambda book: book.search.find(Wanted("w4321"))),
        ("collimation, night by night", lambda book: book.collimation.offsets(telescope_id)),
        ("200 nights", lambda book: book.nights.summaries(200)),
        ("200 nights of the middle", lambda book: book.nights.summaries(200, last.local_date)),
        ("the last night", lambda book: book.nights.latest()),
    ]


def _line(name: str, job: Job, path: Path, walk_ms: float) -> str:
    with open_book(path, read_only=True) as book:
        first_ms = _timed(lambda: job(book))[1]
        times = [_timed(lambda: job(book)) for _ in range(REPEATS)]
    shares = f"{_middle(times) / A_PAGE_MS:.2f} of a page, {_middle(times) / walk_ms:.2f} walks"
    return f"{name[:33]:33} first {first_ms:4.0f} ms; then {_spread(times)}; {shares}"


def _screen(path: Path) -> list[str]:
    """The first reading for the screen, and what is read again after each entry."""
    at = datetime.now(UTC)
    with open_book(path) as book:
        night = book.nights.start(book.sites.all()[0].id, book.kit.trains()[0].id, "", at)
        first_ms = _timed(lambda: read_view(book))[1]
        again = []
        for minute in range(REPEATS):
            turn = Turn("A", 0.125 if minute % 2 else -0.125)
            when = at + timedelta(minutes=minute)
            book.timeline.keep(night.id, NewEntry("turn", when, "turn A", turn=turn))
            again.append(_timed(lambda: read_view(book)))
    return [
        f"{'the screen, from the beginning':33} {first_ms:.0f} ms; after a turn {_spread(again)}"
    ]


def _read_more(book: Book, nights: int) -> None:
    chance = random.Random(1)
    rows = list(_readings(nights, chance))
    looks = [
        {
            "entry_id": (night - 1) * ENTRIES_A_NIGHT + _LOOK_AT + 1,
            "telescope_id": 1,
            "offset_fraction": chance.uniform(0.0, 0.3),
            "way": "eye",
        }
        for night in range(1, nights + 1, 5)
    ]
    with book._sessions.writing() as session:
        session.execute(insert(models.ReadingRow), rows)
        session.execute(insert(models.StarLookRow), looks)
        for number in range(1, TARGETS + 1):
            place = {"ra_deg": number * 360.0 / TARGETS % 360.0, "dec_deg": 20.0 + number % 40}
            row = models.TargetRow
            session.execute(update(row).where(row.id == number).values(**place))


def _readings(nights: int, chance: random.Random) -> Iterator[dict[str, object]]:
    for night in range(1, nights + 1):
        for place, quantities in _READ.items():
            for quantity in quantities:
                number = _USUAL[quantity] * chance.uniform(0.99, 1.01) - 0.04 * place
                if quantity == "mirror_temperature_c":  # follows the air, some degrees behind it
                    number = 5.0 + 6.0 * math.exp(-place / 14.0) + chance.gauss(0.0, 0.1)
                entry_id = (night - 1) * ENTRIES_A_NIGHT + place + 1
                yield {"entry_id": entry_id, "quantity": quantity, "number": max(number, 0.5)}


def _keys(book: Book) -> list[PageKey]:
    """A page of each kind, of the middle and of the end of the book."""
    places = book.past.places()
    middle, last = places[len(places) // 2], places[-1]
    return [
        PageKey("night", middle.local_date.isoformat(), middle.id),
        PageKey("compare", f"{middle.local_date} {last.local_date}"),
        PageKey("compare", last.local_date.isoformat(), last.id),
        PageKey("object", "Bench 5"),
        PageKey("part", "Bench tube"),
        PageKey("train", "Bench train"),
        PageKey("year", str(middle.local_date.year)),
        PageKey("trends", ""),
        PageKey("trends", "all"),
    ]


def _told(book: Book, key: PageKey) -> object:
    return text_lines(render_page(load_page(book, key)))


def _set_rules(book: Book) -> None:
    """One rule of each sort, counted from the beginning of the book."""
    for number, limits in enumerate(_RULES):
        book.upkeep.add(UpkeepRule(f"work {number}", "Bench tube", **limits))


def _timed(job: Callable[[], object]) -> tuple[float, float]:
    """Milliseconds a job takes by the wall's clock, and of the processor alone."""
    begun, worked = time.perf_counter(), time.process_time()
    job()
    return (time.perf_counter() - begun) * 1e3, (time.process_time() - worked) * 1e3


def _middle(times_ms: list[tuple[float, float]]) -> float:
    """The processor's time in the middle of all."""
    return sorted(worked for _, worked in times_ms)[len(times_ms) // 2]


def _spread(times_ms: list[tuple[float, float]]) -> str:
    """The middle and the late ones; the wall's clock too, which other work makes late."""
    worked, by_wall = (sorted(each[at] for each in times_ms) for at in (1, 0))
    late = int(len(times_ms) * 0.95)
    wall = f"by the wall {by_wall[len(by_wall) // 2]:.0f} and {by_wall[late]:.0f}"
    return f"p50 {worked[len(worked) // 2]:.0f} p95 {worked[late]:.0f} ms ({wall})"


if __name__ == "__main__":
    print("\n".join(run(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)))
