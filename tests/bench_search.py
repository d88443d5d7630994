"""How long a search takes in a book of many years.

`python -m tests.bench_search [nights]` prints it; nothing is asserted.
"""

import sys
import tempfile
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from logbook.records.search import Wanted
from logbook.report.render.keys import PageKey
from logbook.report.render.text import text_lines
from logbook.report.words.search_marks import Marks
from logbook.screen.pages.past.search_words import about_hit, hit_row
from logbook.store.book import Book
from logbook.store.opening import make_book, open_book
from tests.bench_store import ENTRIES_A_NIGHT, _fill, _timed
from tests.report.documents import read_document

ASKED = {
    "a word of every line": Wanted("clouds"),
    "a seldom word": Wanted("w4711"),
    "a word that isn't there": Wanted("marten"),
    "the beginning of a word": Wanted("w12"),
    "two letters": Wanted("w1"),
    "a phrase": Wanted('"dew on the finder"'),
    "five words": Wanted("clouds west dew finder w3"),
    "a word within unspaced text": Wanted("撮影"),
    "a word of one object": Wanted("clouds", object_name="Bench 7"),
    "a word of one train": Wanted("clouds", train_name="Bench train"),
    "a word of frames": Wanted("clouds", kinds=("frames",)),
    "a seldom word of an early year": Wanted("w17", last=date(2006, 1, 1)),
    "a word of an early year": Wanted("clouds", last=date(2006, 1, 1)),
    "a word of one year": Wanted("clouds", first=date(2010, 1, 1), last=date(2010, 12, 31)),
    "turns with one part": Wanted("dew", kinds=("turn",), part_name="Bench tube"),
    "every filter": Wanted(
        "dew",
        ("frames",),
        "Bench 7",
        "Bench tube",
        "Bench train",
        date(2008, 1, 1),
        date(2016, 1, 1),
    ),
    "a kind alone": Wanted(kinds=("turn",)),
    "an object alone": Wanted(object_name="Bench 7"),
    "notes with one part since a day": Wanted(
        kinds=("note",), part_name="Bench tube", first=date(2010, 1, 1)
    ),
}
COUNTED = ("kind", "object", "part", "train", "year")
ROWS_DRAWN = 100


def run(nights: int = 5000) -> list[str]:
    """Lines with figures: the middle and the 19th of twenty for each question."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.db"
        make_book(path)
        with open_book(path) as book:
            _fill(book, nights)
            return [f"searching {nights * ENTRIES_A_NIGHT} entries:", *asked(book)]


def asked(book: Book) -> list[str]:
    """Every question, newest and best first; what the sheet does besides."""
    find = book.search.find
    lines = [_line(what, partial(find, wanted)) for what, wanted in ASKED.items()]
    lines += [
        _line(f"{what}, best first", partial(find, wanted, best_first=True))
        for what, wanted in ASKED.items()
        if wanted.words
    ]
    lines += [
        _line(f"lines of every {what}", partial(book.search.counted, Wanted("dew"), what))
        for what in COUNTED
    ]
    vain = Wanted("clowds finderscope", kinds=("turn",))
    lines.append(_line("what to loosen", partial(book.search.loosened, vain)))
    lines.append(_line(f"a key on the sheet: find and draw {ROWS_DRAWN}", partial(_drawn, book)))
    lines.append(_line("Enter on the sheet: read the night of a hit", partial(_opened, book)))
    return lines


def _drawn(book: Book) -> None:
    found, marks = book.search.find(Wanted("clouds west")), Marks("clouds west")
    for hit in found.hits[:ROWS_DRAWN]:
        hit_row(hit, marks, 76)
    about_hit(found.hits[0], marks)


def _opened(book: Book) -> None:
    hit = book.search.find(Wanted("clouds west"), most=1).hits[0]
    text_lines(read_document(book, PageKey("night", str(hit.night), hit.night_id)), width=76)


def _line(what: str, job: Callable[[], object]) -> str:
    times_ms = sorted(_timed(job) for _ in range(20))
    return f"  {what}: p50 {times_ms[10]:.1f} ms, p95 {times_ms[18]:.1f} ms"


if __name__ == "__main__":
    print("\n".join(run(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)))
