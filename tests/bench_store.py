"""How long a book takes: looking, opening, keeping one entry, listing nights.

`python -m tests.bench_store [nights]` prints it; nothing is asserted.
"""

import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from sqlalchemy import insert

from logbook.entryline.context import Understood
from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, TargetCopy
from logbook.records.typed_line import TypedLine
from logbook.screen.services.book_snapshot import read_view
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.choosing.holdings import Holdings
from logbook.store.file import sqlite
from logbook.store.file.book_state import look
from logbook.store.opening import make_book, open_book
from logbook.store.save_line import save_line
from logbook.store.session.units import Unit
from logbook.store.tables import models

FIRST = datetime(2005, 1, 1, 20, 0, tzinfo=UTC)
FIRST_NOW = datetime.now(UTC)
ENTRIES_A_NIGHT = 40
TARGETS = 300


def run(nights: int = 500, commits: int = 400) -> list[str]:
    """Lines with figures, measured on a generated book of `nights` nights in a temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.db"
        took_ms = _timed(lambda: make_book(path))
        lines = [f"make a book: {took_ms:.0f} ms"]
        with open_book(path) as book:
            _fill(book, nights)
        lines.append(_spread("look at a book", [_timed(lambda: look(path)) for _ in range(200)]))
        opened = [_timed(lambda: open_book(path).close()) for _ in range(20)]
        lines.append(_spread("open a book", opened))
        with open_book(path) as book:
            lines += _reading(book, nights)
            lines.append(_spread("keep one entry", _keeping(book, commits)))
            lines += _view(book)
        size_mb = path.stat().st_size / 1e6
    return [
        f"book of {nights} nights, {nights * ENTRIES_A_NIGHT} entries, {size_mb:.1f} MB",
        *lines,
    ]


def _timed(job: Callable[[], object]) -> float:
    """Milliseconds a job takes."""
    begun = time.perf_counter()
    job()
    return (time.perf_counter() - begun) * 1e3


def _spread(what: str, times_ms: list[float]) -> str:
    ordered = sorted(times_ms)
    middle, late = ordered[len(ordered) // 2], ordered[int(len(ordered) * 0.99)]
    return f"{what}: p50 {middle:.2f} ms, p99 {late:.2f} ms, of {len(ordered)}"


def _reading(book: Book, nights: int) -> list[str]:
    middle = book.nights.summaries(1)[0].night.id - nights // 2
    turned = book.kit.parts()[0].id
    jobs: dict[str, Callable[[], object]] = {
        "list 50 nights": lambda: book.nights.summaries(50),
        f"list all {nights} nights": lambda: book.nights.summaries(nights),
        "read one night": lambda: book.timeline.of_night(middle),
        "history of one line": lambda: book.timeline.history(1),
        "latest 20 entries": lambda: book.timeline.latest(20),
        "sums of the screws": lambda: book.timeline.screw_sums(turned),
        "hours held of every object": lambda: Holdings(book._sessions).all(),
        "hours held of one object": lambda: book.holdings.of("bench 7"),
        "check the whole file": book.whole_check,
    }
    for job in jobs.values():
        job()
    return [_spread(what, [_timed(job) for _ in range(7)]) for what, job in jobs.items()]


def _view(book: Book) -> list[str]:
    """What the screen reads: all of it once, and what is new after each entry; processor time."""
    book.nights.start(book.sites.all()[0].id, book.kit.trains()[0].id, "", FIRST_NOW)
    whole_ms = _timed(lambda: read_view(book))
    saved_ms, read_ms = [], []
    for minute in range(200):
        units: list[Unit] = []
        at = FIRST_NOW + timedelta(minutes=minute)
        saved_ms.append(_cpu_ms(partial(_save, book, at, units)))
        read_ms.append(_cpu_ms(partial(read_view, book, units[0].entries)))
    raw_ms = _raw(book.path)
    saved, read, raw = (sorted(each)[len(each) // 2] for each in (saved_ms, read_ms, raw_ms))
    return [
        f"read all for the screen: {whole_ms:.0f} ms",
        f"of the processor, a line: {raw:.2f} ms in raw SQLite, here {saved:.2f} ms to save it "
        f"({saved / raw:.1f} times that), {read:.2f} ms to read what it changed "
        f"({read / raw:.1f} times), {saved + read:.2f} ms together",
    ]


def _save(book: Book, at: datetime, units: list[Unit]) -> None:
    """A line as the screen saves it, with its draft, on disk when this returns."""
    typed = TypedLine("bench", "line", "cold")
    with book.writing() as unit:
        save_line(book, Understood(entry=_cold(at), said="cold"), typed=typed)
    units.append(unit)


def _cold(at: datetime) -> NewEntry:
    return NewEntry("note", at, "cold")


def _raw(path: Path) -> list[float]:
    """The same line by SQLite alone, in a copy of the book."""
    copy = path.with_name("raw.db")
    sqlite.back_up(path, copy)
    with closing(sqlite.connect(copy)) as connection:
        return [_cpu_ms(partial(_insert, connection, number)) for number in range(200)]


def _insert(connection: sqlite3.Connection, number: int) -> None:
    now = "2025-10-04T19:00:00.000000Z"
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(
        "INSERT INTO entry (uid, night_id, happened_utc, recorded_utc, kind, text) "
        "VALUES (?, 1, ?, ?, 'note', 'cold')",
        (f"raw {number}", now, now),
    )
    connection.execute("COMMIT")


def _cpu_ms(job: Callable[[], object]) -> float:
    begun = time.process_time()
    job()
    return (time.process_time() - begun) * 1e3


def _keeping(book: Book, commits: int) -> list[float]:
    night = book.nights.summaries(1)[0].night
    target = TargetCopy("bench 1", "Bench 1", "nebula", 10.0, 20.0)
    entry = NewEntry(
        "frames",
        night.started_utc,
        "20 x 180s Ha",
        target=target,
        frames=Frames(20, 180.0, "Ha"),
        readings=(("air_temperature_c", 4.2), ("humidity_percent", 71.0)),
    )
    return [_timed(lambda: book.timeline.keep(night.id, entry)) for _ in range(commits)]


def _fill(book: Book, nights: int, *, width_every: int = 1) -> None:
    """Rows put in by the handful: a season written line by line would take minutes.

    width_every -- every how many entries a width of star images is read.
    """
    site = book.sites.add(Site("Bench", 48.0, 16.0, 300.0, "Europe/Vienna"))
    telescope = book.kit.add_part(Part("Bench tube", "telescope").with_number("aperture_mm", 250))
    train = book.kit.add_train("Bench train", "camera", (telescope.id,))
    numbers = range(1, nights + 1)
    entries = [(night, place) for night in numbers for place in range(ENTRIES_A_NIGHT)]
    with book._sessions.writing() as session:
        session.execute(insert(models.TargetRow), [_target(each) for each in range(1, TARGETS + 1)])
        session.execute(
            insert(models.NightRow), [_night(n, site.id, train.revision_id) for n in numbers]
        )
        session.execute(insert(models.EntryRow), [_entry(*each) for each in entries])
        session.execute(
            insert(models.FramesRow),
            [
                {"entry_id": number, "count": 20, "exposure_s": 180.0, "frame_type": "light"}
                for number, (_, place) in enumerate(entries, 1)
                if place % 2 == 0
            ],
        )
        session.execute(
            insert(models.TurnRow),
            [
                {"entry_id": number, "telescope_id": telescope.id, "screw": "A", "turns": 0.125}
                for number, (_, place) in enumerate(entries, 1)
                if place % 20 == 1
            ],
        )
        session.execute(
            insert(models.ReadingRow),
            [
                {"entry_id": number, "quantity": "fwhm_arcsec", "number": 2.0}
                for number in range(1, len(entries) + 1, width_every)
            ],
        )


def _text(number: int) -> str:
    """Words as a season has them: a few in every line, most of them seldom."""
    drawn = random.Random(number)
    seldom = " ".join(f"w{int(drawn.paretovariate(0.7)) % 5000}" for _ in range(6))
    return f"20 x 180s Ha, clouds from the west, dew on the finder {seldom}"


def _target(number: int) -> dict[str, object]:
    return {
        "uid": f"target {number}",
        "catalogue_id": f"bench {number}",
        "name": f"Bench {number}",
        "kind": "nebula",
        "created_utc": FIRST,
    }


def _night(number: int, site_id: int, revision_id: int) -> dict[str, object]:
    started = FIRST + timedelta(days=number)
    return {
        "id": number,
        "uid": f"night {number}",
        "local_date": started.date(),
        "site_id": site_id,
        "time_zone": "Europe/Vienna",
        "train_revision_id": revision_id,
        "observer": "",
        "started_utc": started,
        "ended_utc": started + timedelta(hours=6),
    }


def _entry(night: int, place: int) -> dict[str, object]:
    happened = FIRST + timedelta(days=night, minutes=5 * place)
    number = (night - 1) * ENTRIES_A_NIGHT + place + 1
    return {
        "id": number,
        "uid": f"entry {number}",
        "night_id": night,
        "happened_utc": happened,
        "recorded_utc": happened,
        "kind": "frames" if place % 2 == 0 else "turn" if place % 20 == 1 else "note",
        "text": _text(number),
        "target_id": 1 + (night + place // 10) % TARGETS if place % 2 == 0 else None,
        "train_revision_id": 1,
        "supersedes_id": number - 1 if place % 20 == 19 else None,
        "cause": "correct" if place % 20 == 19 else None,
    }


if __name__ == "__main__":
    print("\n".join(run(int(sys.argv[1]) if len(sys.argv) > 1 else 500)))
