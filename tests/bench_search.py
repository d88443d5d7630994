"""How long a search takes in a book of many years.

`python -m tests.bench_search [nights]` prints it; nothing is asserted.
"""

import sys
import tempfile
from datetime import date
from pathlib import Path

from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from logbook.store.search_records import Wanted
from tests.bench_store import ENTRIES_A_NIGHT, _fill, _timed

ASKED = {
    "a word of every line": Wanted("clouds"),
    "a seldom word": Wanted("w4711"),
    "a word that isn't there": Wanted("marten"),
    "the beginning of a word": Wanted("w12"),
    "a phrase": Wanted('"dew on the finder"'),
    "five words": Wanted("clouds west dew finder w3"),
    "a word of one object": Wanted("clouds", object_name="Bench 7"),
    "a seldom word of an early year": Wanted("w17", last=date(2006, 1, 1)),
    "a word of an early year": Wanted("clouds", last=date(2006, 1, 1)),
    "turns with one part": Wanted("dew", kinds=("turn",), part_name="Bench tube"),
    "a kind alone": Wanted(kinds=("turn",)),
    "an object alone": Wanted(object_name="Bench 7"),
}


def run(nights: int = 5000) -> list[str]:
    """Lines with figures: the middle and the 19th of twenty for each question."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.db"
        make_book(path)
        with open_book(path) as book:
            _fill(book, nights)
            lines = [f"searching {nights * ENTRIES_A_NIGHT} entries:"]
            lines += [_line(book, what, wanted) for what, wanted in ASKED.items()]
    return lines


def _line(book: Book, what: str, wanted: Wanted) -> str:
    times_ms = sorted(_timed(lambda: book.search.find(wanted)) for _ in range(20))
    return f"  {what}: p50 {times_ms[10]:.1f} ms, p95 {times_ms[18]:.1f} ms"


if __name__ == "__main__":
    print("\n".join(run(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)))
