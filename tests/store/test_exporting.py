"""A book written out and made again: the same rows, the same bytes, whatever was in it."""

import csv
import json
import re
import shutil
import sqlite3
import tempfile
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest
from astropy.table import Table
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from logbook.errors import BadInput, BookRefused
from logbook.kit.parts import Part
from logbook.sky.place import Site
from logbook.store.book import Book
from logbook.store.demo import fresh_demo
from logbook.store.importing import import_book
from logbook.store.opening import HEAD, open_book
from logbook.store.records import NewEntry, NightRecord
from tests.store.clock import EVENING, Clock
from tests.store.test_undo_model import TEXTS, entries


def rows_of(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table as SQLite holds it."""
    with closing(sqlite3.connect(path)) as connection:
        names = connection.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND sql NOT LIKE '%fts5%'"
        ).fetchall()
        return {
            name: connection.execute(f'SELECT * FROM "{name}" ORDER BY 1').fetchall()
            for (name,) in names
            if not re.search(r"^sqlite_|_(data|idx|docsize|config|content)$", name)
        }


def bytes_of(folder: Path) -> dict[str, bytes]:
    return {
        str(each.relative_to(folder)): each.read_bytes()
        for each in sorted(folder.rglob("*"))
        if each.is_file()
    }


@given(
    kept=st.lists(entries(), min_size=1, max_size=8),
    named=TEXTS,
    draft=st.text(max_size=40),
    steps=st.lists(st.sampled_from(("correct", "withdraw", "undo", "redo")), max_size=4),
)
@settings(
    max_examples=25,
    deadline=None,
    phases=(Phase.generate, Phase.shrink),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_any_book_comes_back_row_for_row(
    empty_book: Path, kept: list[NewEntry], named: str, draft: str, steps: list[str]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(shutil.copyfile(empty_book, Path(folder) / "a.db"))
        clock = Clock()
        with open_book(path, clock=clock) as book:
            fill(book, clock, kept, named, draft, steps)
            book.export(Path(folder) / "out")
        again = Path(folder) / "b.db"
        import_book(Path(folder) / "out", again)
        assert rows_of(again) == rows_of(path)
        with open_book(again) as book:
            assert not any(each.is_damage for each in book.findings())
            book.export(Path(folder) / "out again")
        assert bytes_of(Path(folder) / "out") == bytes_of(Path(folder) / "out again")


def fill(
    book: Book, clock: Clock, kept: list[NewEntry], named: str, draft: str, steps: list[str]
) -> None:
    site = book.sites.add(
        Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna", ((0.0, 12.0), (90.0, 3.5)))
    )
    tube = book.kit.add_part(Part("Long Tube", "telescope", note=named).with_number("mass_kg", 9.1))
    train = book.kit.add_train("Plain", "visual", (tube.id,))
    book.kit.revise_part(tube.id, Part("Long Tube", "telescope").with_number("mass_kg", 8.8))
    night = book.nights.start(site.id, train.id, named[:40], EVENING)
    for entry in kept:
        clock.forward(minutes=1)
        last = book.timeline.keep(night.id, entry)
    for step in steps:
        clock.forward(minutes=1)
        if step == "correct" and last.content.kind != "withdrawn":
            last = book.timeline.correct(last.id, kept[0])
        elif step == "withdraw" and last.content.kind != "withdrawn":
            last = book.timeline.withdraw(last.id)
        elif step == "undo":
            last = book.timeline.undo(night.id) or last
        elif step == "redo":
            last = book.timeline.redo(night.id) or last
    book.drafts.put("line", draft)
    book.nights.end(night.id, EVENING + timedelta(hours=9))


def test_a_cell_never_becomes_a_formula_and_the_text_stays_whole(
    book: Book, night: NightRecord, tmp_path: Path
) -> None:
    """The signs that begin a formula: OWASP, CSV Injection."""
    hostile = ['=HYPERLINK("x")', "+1+1", "-2+3", "@SUM(A1)", "'already quoted", " =1"]
    for text in hostile:
        book.timeline.keep(night.id, NewEntry("note", EVENING, text))
    book.export(tmp_path / "out")
    with (tmp_path / "out/tables/entry.csv").open(encoding="utf-8", newline="") as opened:
        cells = [row["text"] for row in csv.DictReader(opened)]
    assert [cell[1:] for cell in cells] == [text.strip() for text in hostile]
    assert all(cell.startswith("'") for cell in cells)


def test_every_table_and_column_is_described(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    schema = json.loads((tmp_path / "out/schema.json").read_text(encoding="utf-8"))
    whole = json.loads((tmp_path / "out/book.json").read_text(encoding="utf-8"))
    assert schema["revision"] == HEAD
    for name, table in whole["tables"].items():
        described = schema["tables"][name]
        assert [column["name"] for column in described["columns"]] == table["columns"]
        assert described["key"]
    units = {each["name"]: each.get("unit") for each in schema["tables"]["star_look"]["columns"]}
    assert units["position_angle_deg"] == "degrees"


def test_the_runs_of_frames_are_read_by_astropy_with_their_units(
    demo_export: Path,
) -> None:
    """ECSV as astropy itself reads it (astropy.table, format ascii.ecsv)."""
    table = Table.read(demo_export / "frames.ecsv", format="ascii.ecsv")
    assert table["exposure_s"].unit == "s"
    assert table["ra_deg"].unit == "deg"
    assert len(table) > 80
    crescent = table[table["object"] == "Crescent Nebula"]
    assert set(crescent["filter"]) == {"Ha", "OIII"}


@pytest.fixture(scope="session")
def demo_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return fresh_demo(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="session")
def demo_export(demo_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("export")
    with open_book(demo_path, read_only=True) as book:
        book.export(folder)
    return folder


def test_the_demo_season_comes_back_row_for_row(
    demo_path: Path, demo_export: Path, tmp_path: Path
) -> None:
    import_book(demo_export, tmp_path / "again.db")
    assert rows_of(tmp_path / "again.db") == rows_of(demo_path)


def test_a_folder_with_other_files_is_left_alone(book: Book, tmp_path: Path) -> None:
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters/dear.txt").write_text("dear", encoding="utf-8")
    with pytest.raises(BadInput, match="other files"):
        book.export(tmp_path / "letters")
    assert [each.name for each in (tmp_path / "letters").iterdir()] == ["dear.txt"]


def test_an_export_is_written_anew_over_an_earlier_one(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    first = bytes_of(tmp_path / "out")
    book.choices.put("site", "Mill Hill")
    book.export(tmp_path / "out")
    assert set(bytes_of(tmp_path / "out")) == set(first)
    assert bytes_of(tmp_path / "out") != first


def changed(folder: Path, old: str, new: str) -> Path:
    path = folder / "book.json"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"version": 1', '"version": 2', "newer"),
        (f'"revision": "{HEAD}"', '"revision": "9999"', "newer"),
        ('"observing-logbook export"', '"a shopping list"', "no export"),
        ('"night":', '"knight":', "doesn't know"),
        ('"latitude_deg"', '"lattitude_deg"', "doesn't know"),
        ("48.2", '"north"', "row 1: 'north' cannot be a number"),
        ("48.2", "148.2", "cannot be true"),
        ("48.2", "48.2, 1", "wanted"),
        ("]}", "", "not whole"),
        ('"Mill Hill"', f'"{"x" * 300}"', "text of at most"),
    ],
)
def test_a_changed_export_makes_no_book(
    book: Book, site: Site, tmp_path: Path, old: str, new: str, words: str
) -> None:
    book.sites.add(site)
    book.export(tmp_path / "out")
    with pytest.raises(BadInput, match=words):
        import_book(changed(tmp_path / "out", old, new), tmp_path / "new.db")
    assert not list(tmp_path.glob("new.db*"))


@pytest.mark.usefixtures("night")
def test_a_row_that_points_nowhere_makes_no_book(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    path = tmp_path / "out/book.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    content["tables"]["site"]["rows"] = []
    path.write_text(json.dumps(content), encoding="utf-8")
    with pytest.raises(BadInput, match="missing"):
        import_book(tmp_path / "out", tmp_path / "new.db")


def test_escape_sequences_of_a_changed_export_never_get_in(
    book: Book, site: Site, tmp_path: Path
) -> None:
    book.sites.add(site)
    book.export(tmp_path / "out")
    changed(tmp_path / "out", "Mill Hill", "Mill\\u001b[2J Hill\\u202e")
    import_book(tmp_path / "out", tmp_path / "new.db")
    with open_book(tmp_path / "new.db") as again:
        assert again.sites.all()[0].site.name == "Mill[2J Hill"


def test_an_import_never_writes_over_a_book(book: Book, book_path: Path, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    with pytest.raises(BookRefused, match="already"):
        import_book(tmp_path / "out", book_path)


def test_a_folder_without_an_export_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"no book\.json"):
        import_book(tmp_path, tmp_path / "new.db")
