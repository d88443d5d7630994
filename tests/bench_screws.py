"""How long advice takes from a book with twenty years of turns.

`python -m tests.bench_screws [years]` prints it; nothing is asserted.
"""

import math
import random
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from sqlalchemy import insert

from logbook.kit.parts.part import Part
from logbook.records.entries import Screw
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from logbook.store.screw_advice import advice_for
from logbook.store.tables import models

FIRST = datetime(2005, 1, 1, 20, 0, tzinfo=UTC)
NIGHTS_A_YEAR, TURNS_A_NIGHT = 25, 4
PULLS = {"A": (0.0, -1.05), "B": (0.91, 0.52), "C": (-0.91, 0.52)}  # radii a turn


def run(years: int = 20) -> list[str]:
    """Lines with figures, measured on a generated book in a temporary folder."""
    with tempfile.TemporaryDirectory() as folder:
        path = make_book(Path(folder) / "bench.db")
        with open_book(path) as book:
            telescope, last = _fill(book, years * NIGHTS_A_YEAR)
            lines = [f"{years} years, {years * NIGHTS_A_YEAR * TURNS_A_NIGHT} turns"]
            looked_back = book.collimation
            jobs: dict[str, Callable[[], object]] = {
                "sums of the screws": lambda: book.timeline.screw_sums(telescope),
                "advice": lambda: advice_for(book, telescope, last),
                "offsets of all nights": lambda: looked_back.offsets(telescope),
                "states to go back to": lambda: looked_back.states(telescope),
            }
            base_ms = 0.0
            for what, job in jobs.items():
                took_ms = _best(job)
                base_ms = base_ms or took_ms
                lines.append(f"{what}: {took_ms:.1f} ms, {took_ms / base_ms:.1f} x the sums")
    return lines


def _best(job: Callable[[], object]) -> float:
    """Milliseconds the job takes at its best of five, after a first time."""
    job()
    times = []
    for _ in range(5):
        begun = time.perf_counter()
        job()
        times.append(time.perf_counter() - begun)
    return min(times) * 1e3


def _fill(book: Book, nights: int) -> tuple[int, datetime]:
    part = Part("Bench tube", "telescope").with_number("aperture_mm", 203)
    telescope = book.kit.add_part(part.with_number("focal_length_mm", 1624)).id
    book.kit.set_screws(telescope, (Screw("A", 12.0), Screw("B", 4.0), Screw("C", 8.0)))
    dice = random.Random(1)
    entries: list[dict[str, object]] = []
    turns: list[dict[str, object]] = []
    looks: list[dict[str, object]] = []
    at = FIRST
    for night in range(nights):
        at = FIRST + timedelta(days=14.6 * night)
        x, y = dice.gauss(0.0, 0.1), dice.gauss(0.0, 0.1)
        for turn in range(TURNS_A_NIGHT + 1):
            if turn:
                at += timedelta(minutes=3)
                screw, turned = dice.choice("ABC"), dice.choice((-0.125, -0.0625, 0.0625, 0.125))
                x, y = x + turned * PULLS[screw][0], y + turned * PULLS[screw][1]
                entries.append(_entry(len(entries) + 1, at, "turn"))
                turns.append(_turn(len(entries), telescope, screw, turned))
            at += timedelta(minutes=3)
            entries.append(_entry(len(entries) + 1, at, "star"))
            seen = (x + dice.gauss(0.0, 0.005), y + dice.gauss(0.0, 0.005))
            looks.append(_look(len(entries), telescope, *seen))
    with book._sessions.writing() as session:
        session.execute(insert(models.EntryRow), entries)
        session.execute(insert(models.TurnRow), turns)
        session.execute(insert(models.StarLookRow), looks)
    return telescope, at


def _entry(entry_id: int, at: datetime, kind: str) -> dict[str, object]:
    return {
        "id": entry_id,
        "uid": str(uuid.UUID(int=entry_id)),
        "happened_utc": at,
        "recorded_utc": at,
        "kind": kind,
        "text": kind,
    }


def _turn(entry_id: int, telescope: int, screw: str, turned: float) -> dict[str, object]:
    return {"entry_id": entry_id, "telescope_id": telescope, "screw": screw, "turns": turned}


def _look(entry_id: int, telescope: int, x: float, y: float) -> dict[str, object]:
    return {
        "entry_id": entry_id,
        "telescope_id": telescope,
        "offset_fraction": min(1.0, math.hypot(x, y)),
        "position_angle_deg": math.degrees(math.atan2(y, x)) % 360.0,
        "offset_sigma": 0.005,
        "way": "picture",
    }


if __name__ == "__main__":
    for each in run(int(sys.argv[1]) if len(sys.argv) > 1 else 20):
        print(each)
