"""How long looking back takes on twenty years of nights: every page, two nights, trends, a year.

`python -m tests.bench_past [nights]` prints it; nothing is asserted. A page should be there within
200 ms. The nights are those of `bench_store`, with what a careful owner reads off in each.
"""

import math
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from sqlalchemy import insert, update

from logbook.report.as_html import html_page
from logbook.report.as_text import text_lines
from logbook.report.page_keys import PageKey
from logbook.report.pages import paper_of, read_page
from logbook.store import models
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from tests.bench_store import ENTRIES_A_NIGHT, TARGETS, _fill

REPEATS = 15
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


def run(nights: int = 5000) -> list[str]:
    """Lines with figures, measured on a generated book of `nights` nights in a temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "past.db"
        make_book(path)
        with open_book(path) as book:
            _fill(book, nights, width_every=WIDTH_EVERY)
            _read_more(book, nights)
        with open_book(path, read_only=True) as book:
            lines = [_told(key, book) for key in _keys(book)]
    head = f"book of {nights} nights, {nights * ENTRIES_A_NIGHT} entries; a page, read and told"
    return [head, *lines]


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


def _told(key: PageKey, book: Book) -> str:
    def read_and_told() -> object:
        return text_lines(paper_of(read_page(book, key)))

    data = read_page(book, key)
    text = _spread([_timed(read_and_told) for _ in range(REPEATS)])
    html = _spread([_timed(lambda: html_page(paper_of(data))) for _ in range(REPEATS)])
    return f"{key.words[:33]:33} read and told {text}; as HTML {html}"


def _timed(job: Callable[[], object]) -> tuple[float, float]:
    """Milliseconds a job takes by the wall's clock, and of the processor alone."""
    begun, worked = time.perf_counter(), time.process_time()
    job()
    return (time.perf_counter() - begun) * 1e3, (time.process_time() - worked) * 1e3


def _spread(times_ms: list[tuple[float, float]]) -> str:
    """The middle and the late ones; of the processor too, for a machine that does other work."""
    said = []
    for what, times in zip(("p50", "processor"), zip(*times_ms, strict=True), strict=True):
        ordered = sorted(times)
        middle, late = ordered[len(ordered) // 2], ordered[int(len(ordered) * 0.95)]
        said.append(f"{what} {middle:.0f} p95 {late:.0f}")
    return f"{', '.join(said)} ms"


if __name__ == "__main__":
    print("\n".join(run(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)))
