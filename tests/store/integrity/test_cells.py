"""One damaged byte: every command says what it means, none stops for a reason it doesn't know.

`DAMAGES=400 python -m pytest tests/store/integrity/test_cells.py` tries so many places.
"""

import os
import random
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from logbook import cli
from logbook.errors import BookRefused
from logbook.records.entries import NewEntry
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.demo import demo
from logbook.store.opening import open_book
from tests.clock import EVENING

SITE = Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna")


COMMANDS = (
    ("check",),
    ("nights",),
    ("search", "m31"),
    ("add", "note a fox"),
    ("backup",),
)
DAMAGES = int(os.environ.get("DAMAGES", "4"))


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo.fresh_demo(tmp_path_factory.mktemp("season"))


def spoil(path: Path, drawn: random.Random) -> None:
    """Change one byte; in every second book one in the words of its rows or of its tables."""
    held = bytearray(path.read_bytes())
    likely = [at for at in range(100, len(held)) if 32 < held[at] < 127]
    at = drawn.choice(likely) if drawn.random() < 0.5 else drawn.randrange(100, len(held))
    held[at] ^= 1 << drawn.randrange(8)
    path.write_bytes(held)


@pytest.mark.parametrize("seed", range(DAMAGES))
def test_a_damaged_byte_stops_no_command_for_an_unknown_reason(
    season: Path, tmp_path: Path, seed: int, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "logbook.db"
    for command in COMMANDS:
        shutil.copyfile(season, path)
        spoil(path, random.Random(seed))
        code = cli.main([*command, "--book", str(path)])
        said = capsys.readouterr()
        assert code != 1, (command, said.err)
        assert "had to stop" not in said.err


# The first is a digit of a time that became a letter: one flipped bit.
CELLS = {
    "a time": ("entry", "happened_utc = 'r' || substr(happened_utc, 2)", "time"),
    "a time without its zone": ("entry", "happened_utc = rtrim(happened_utc, 'Z')", "time"),
    "a date": ("night", "local_date = '2025-1p-04'", "date"),
    "a text": ("entry", "text = CAST(x'ff41' AS TEXT)", "text"),
    "a text's place": ("entry", "text = x'ff41'", "text"),
}


@pytest.mark.parametrize("cell", CELLS)
@pytest.mark.parametrize("command", ["check", "nights", "search"])
def test_a_cell_that_cannot_be_read_is_damage_named_by_table_and_row(
    book: Book, book_path: Path, cell: str, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    table, change, called = CELLS[cell]
    site = book.sites.add(SITE)
    night = book.nights.start(site.id, None, "R. Quill", EVENING)
    book.timeline.keep(night.id, NewEntry("note", EVENING, "the fox"))
    book.close()
    spoil_cell(book_path, table, change)
    more = ["fox"] if command == "search" else []
    code = cli.main([command, *more, "--book", str(book_path)])
    said = capsys.readouterr()
    assert "had to stop" not in said.err
    if command == "check":
        assert code == BookRefused.exit_code
        assert f"DAMAGED: table {table}, row 1: " in said.out
        assert f"which is no {called}" in said.out
    assert code in (0, BookRefused.exit_code)


def spoil_cell(path: Path, table: str, change: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        guards = connection.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?",
            (table,),
        ).fetchall()
        for name, _ in guards:
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("PRAGMA ignore_check_constraints=ON")
        connection.execute(f"UPDATE {table} SET {change} WHERE id = 1")
        for _, sql in guards:
            connection.execute(sql)
        connection.commit()


def test_a_check_reads_every_table_of_a_sound_book(season: Path) -> None:
    with open_book(season, read_only=True) as book:
        assert not any(each.is_damage for each in book.findings())
