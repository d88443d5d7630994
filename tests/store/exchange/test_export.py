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

import astropy.units as u
import numpy as np
import pytest
from astropy.table import Table
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from logbook.errors import BadInput, BookRefused
from logbook.kit.parts.part import Part
from logbook.records.entries import Frames, NewEntry, NightRecord
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.demo.demo import fresh_demo
from logbook.store.exchange import descriptions
from logbook.store.exchange.csv_cells import as_written, harmless
from logbook.store.file.book_state import HEAD
from logbook.store.import_book import import_book
from logbook.store.opening import open_book
from logbook.store.tables.values import tables
from tests.clock import EVENING, Clock
from tests.store.undo.test_undo_model import TEXTS, entries
from tests.store.whole_book import fill_whole


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


@pytest.mark.slow
@given(
    kept=st.lists(entries(), min_size=1, max_size=8),
    named=TEXTS,
    draft=st.text(max_size=40),
    steps=st.lists(st.sampled_from(("correct", "withdraw", "undo", "redo")), max_size=4),
)
@settings(
    max_examples=12,
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


@given(texts=st.lists(TEXTS, min_size=1, max_size=6))
@settings(
    max_examples=5,
    deadline=None,
    phases=(Phase.generate, Phase.shrink),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
def test_a_book_with_something_in_every_table_comes_back_row_for_row(
    empty_book: Path, texts: list[str]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(shutil.copyfile(empty_book, Path(folder) / "a.db"))
        clock = Clock()
        with open_book(path, clock=clock) as book:
            fill_whole(book, clock, texts)
            book.export(Path(folder) / "out")
            book.export(Path(folder) / "out twice")
        before = rows_of(path)
        assert [name for name, rows in before.items() if not rows] == []
        again = Path(folder) / "b.db"
        import_book(Path(folder) / "out", again)
        assert rows_of(again) == before
        assert bytes_of(Path(folder) / "out") == bytes_of(Path(folder) / "out twice")


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
            book.units.take_back()
            last = book.timeline.history(last.id)[-1]
        elif step == "redo":
            book.units.do_again()
            last = book.timeline.history(last.id)[-1]
    book.drafts.put("window", "line", (draft,))
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


@given(st.one_of(TEXTS, st.text(st.sampled_from("'=+-@\t\r\n ＝a1"))))
def test_what_was_written_is_told_by_its_cell(text: str) -> None:
    """The signs that begin a formula: OWASP, CSV Injection; tab, return and line feed too."""
    cell = harmless(text)
    assert isinstance(cell, str)
    assert as_written(cell) == text
    assert not cell.lstrip().startswith(("=", "+", "-", "@", "＝"))
    assert not cell.startswith(("\t", "\r", "\n"))


def test_the_csv_tables_alone_hold_every_value(book: Book, clock: Clock, tmp_path: Path) -> None:
    """What the notes in schema.json say is enough to read them back: held against book.json."""
    fill_whole(book, clock, ["=1+1", "'quoted'", 'a "b", c', "line | two", "@x"])
    book.export(tmp_path / "out")
    whole = json.loads((tmp_path / "out/book.json").read_text(encoding="utf-8"))
    for name, table in whole["tables"].items():
        with (tmp_path / f"out/tables/{name}.csv").open(encoding="utf-8", newline="") as opened:
            head, *rows = list(csv.reader(opened))
        assert head == table["columns"]
        told = [[as_written(cell) for cell in row] for row in rows]
        assert told == [[in_csv(value) for value in row] for row in table["rows"]]


def in_csv(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else str(value)


def test_every_table_and_column_is_described(book: Book, tmp_path: Path) -> None:
    """So that a stranger understands it: each says what it is, its unit, or what it points to."""
    book.export(tmp_path / "out")
    schema = json.loads((tmp_path / "out/schema.json").read_text(encoding="utf-8"))
    whole = json.loads((tmp_path / "out/book.json").read_text(encoding="utf-8"))
    assert schema["revision"] == HEAD
    assert set(schema["tables"]) == set(whole["tables"])
    for name, table in whole["tables"].items():
        described = schema["tables"][name]
        assert [column["name"] for column in described["columns"]] == table["columns"]
        assert described["key"]
        assert described["what"]
        for column in described["columns"]:
            says = column.keys() & {"what", "unit", "points_to"}
            assert says or column["name"] == "id", f"{name}.{column['name']} is not described"


def test_units_ranges_and_conditions_are_in_the_schema(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    tables = json.loads((tmp_path / "out/schema.json").read_text(encoding="utf-8"))["tables"]
    units = {each["name"]: each.get("unit") for each in tables["star_look"]["columns"]}
    assert units["position_angle_deg"] == "degrees"
    assert units["disc_radius_px"] == "pixels"
    assert tables["reading"]["quantities"]["pressure_hpa"] == {
        "from": 400.0,
        "to": 1100.0,
        "unit": "hectopascals",
    }
    assert "latitude_deg BETWEEN -90 AND 90" in tables["site"]["conditions_sql"]
    assert {"note", "turn", "star"} <= set(tables["entry"]["kinds"])


def test_a_schema_names_no_column_that_is_not_there() -> None:
    """Words for what a table no longer has would mislead."""
    known = {column.name for table in tables() for column in table.columns}
    known |= {f"{table.name}.{column.name}" for table in tables() for column in table.columns}
    assert set(descriptions._COLUMNS) <= known
    assert set(descriptions._TABLES) <= {table.name for table in tables()}


@pytest.mark.usefixtures("night")
def test_hostile_names_come_back_from_the_frames_table(book: Book, tmp_path: Path) -> None:
    names = ["=1+1", 'a "b" c', "# - {name: x}", "%ECSV 1.0", "two  spaces", "ünï → ✓"]
    for minutes, name in enumerate(names):
        at = EVENING + timedelta(minutes=minutes)
        book.timeline.keep(1, NewEntry("frames", at, "x", frames=Frames(3, 60.0, name)))
    book.timeline.keep(1, NewEntry("frames", EVENING, "x", frames=Frames(1, 60.0)))
    book.export(tmp_path / "out")
    table = Table.read(tmp_path / "out/frames.ecsv", format="ascii.ecsv")
    standing = [each.content.frames for each in book.timeline.of_night(1)]
    assert [None if name is np.ma.masked else str(name) for name in table["filter"]] == [
        each.filter_name for each in standing if each is not None
    ]
    assert (table["exposure_s"].quantity == 60.0 * u.s).all()
    assert all(table[name].description for name in table.colnames)


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
        ('"latitude_deg"', '"lattitude_deg"', "site has no latitude_deg"),
        ('"latitude_deg"', '"latitude_deg", "x"', "columns this program doesn't know"),
        ('"site": 1', '"site": 2', "not as many as were exported"),
        ('"rows": {', '"raws": {', "not as many as were exported"),
        ("48.2", "1e999", "cannot be a number"),
        ("48.2", "NaN", "cannot be a number"),
        ("48.2", "null", "cannot be true"),
        ("310.0", "true", "cannot be a number"),
        ("[1, ", f"[{2**70}, ", "cannot be a whole number"),
        ('T19:00:00.000000Z"', 'T19:00:00"', "cannot be an instant"),
        ('"2025-10-04T19:00:00.000000Z"', '"0001-01-01T00:00:00+23:59"', "cannot be an instant"),
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
    with pytest.raises(BadInput, match=words) as said:
        import_book(changed(tmp_path / "out", old, new), tmp_path / "new.db")
    assert re.search(r"xport the book again|no export|import it with", str(said.value))
    assert not list(tmp_path.glob("new.db*"))


@pytest.mark.usefixtures("night")
def test_an_export_without_one_of_its_tables_makes_no_book(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    path = tmp_path / "out/book.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    for name in content["tables"]:
        fewer = {each: held for each, held in content["tables"].items() if each != name}
        path.write_text(json.dumps({**content, "tables": fewer}), encoding="utf-8")
        with pytest.raises(BadInput, match=f"not whole, {name} is missing"):
            import_book(tmp_path / "out", tmp_path / "new.db")
    assert not list(tmp_path.glob("new.db*"))


@pytest.mark.usefixtures("night")
def test_an_export_of_an_older_program_may_lack_what_came_later(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    path = tmp_path / "out/book.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    del content["tables"]["upkeep_snooze"], content["rows"]
    path.write_text(json.dumps({**content, "revision": "0001"}), encoding="utf-8")
    import_book(tmp_path / "out", tmp_path / "new.db")
    with open_book(tmp_path / "new.db") as again:
        assert len(again.nights.summaries(5)) == 1


def test_an_export_cut_off_anywhere_makes_no_book(demo_export: Path, tmp_path: Path) -> None:
    whole = (demo_export / "book.json").read_bytes()
    (tmp_path / "out").mkdir()
    for share in (0.0, 0.001, 0.3, 0.9, 0.99999):
        (tmp_path / "out/book.json").write_bytes(whole[: int(share * len(whole))])
        with pytest.raises(BadInput, match=r"not whole.*export the book again"):
            import_book(tmp_path / "out", tmp_path / "new.db")
    assert not list(tmp_path.glob("new.db*"))


def test_a_folder_with_somebody_elses_schema_is_left_alone(book: Book, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine/schema.json").write_text('{"format": "my cookbook"}', encoding="utf-8")
    with pytest.raises(BadInput, match="other files"):
        book.export(tmp_path / "mine")


def test_an_export_that_was_broken_off_can_be_written_again(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    whole = bytes_of(tmp_path / "out")
    for name in ("book.json", "frames.ecsv", "tables/night.csv"):
        (tmp_path / "out" / name).unlink()
    book.export(tmp_path / "out")
    assert bytes_of(tmp_path / "out") == whole


@pytest.mark.usefixtures("night")
def test_a_row_that_points_nowhere_makes_no_book(book: Book, tmp_path: Path) -> None:
    book.export(tmp_path / "out")
    path = tmp_path / "out/book.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    content["tables"]["site"]["rows"] = []
    content["rows"]["site"] = 0
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
