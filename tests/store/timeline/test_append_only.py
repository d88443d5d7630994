"""What happened is never changed in the file, whoever asks: triggers refuse it."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import create_engine, insert
from sqlalchemy.exc import StatementError

from logbook.kit.parts.part import Part
from logbook.records.entries import (
    Adjustment,
    Frames,
    LookDetail,
    NewEntry,
    NightRecord,
    Screw,
    StarCheck,
    StarLook,
    TargetCopy,
    TrainRecord,
    Turn,
    UpkeepDone,
)
from logbook.store.book import Book
from logbook.store.file import sqlite
from logbook.store.opening import open_book
from logbook.store.tables.models import BookRow
from tests.clock import EVENING

ADDED_ONLY = (
    "book",
    "part_revision",
    "part_value",
    "train_revision",
    "train_part",
    "entry",
    "reading",
    "frames",
    "turn",
    "star_look",
    "star_look_detail",
    "star_check",
    "adjustment",
    "upkeep",
)
DETAIL = LookDetail(altitude_deg=55.0)
RETIRED_ONLY = ("site", "part", "train", "target", "night", "screw")


@pytest.fixture
def full_path(book: Book, book_path: Path, night: NightRecord, train: TrainRecord) -> Path:
    """A book with at least one row in every table that is guarded."""
    book.kit.set_screws(train.part_ids[0], (Screw("A", 12.0),))
    target = TargetCopy("test 1", "Test Cloud", "nebula", 10.0, 20.0)
    readings = (("humidity_percent", 71.0),)
    frames = Frames(20, 180.0)
    entries = (
        NewEntry("frames", EVENING, "20 x 180s", target=target, readings=readings, frames=frames),
        NewEntry("turn", EVENING, "turn a 1/8", turn=Turn("A", 0.125)),
        NewEntry("star", EVENING, "shadow 4 o'clock", look=StarLook(0.2, 30.0, detail=DETAIL)),
        NewEntry("check", EVENING, "check round", check=StarCheck("round")),
        NewEntry("adjust", EVENING, "focuser", adjustment=Adjustment("focuser")),
        NewEntry("upkeep", EVENING, "washed it", upkeep=UpkeepDone("washed")),
    )
    for entry in entries:
        book.timeline.keep(night.id, entry)
    book.kit.part(train.part_ids[0])
    return book_path


@pytest.fixture
def raw(full_path: Path) -> Iterator[sqlite3.Connection]:
    with closing(sqlite.connect(full_path)) as connection:
        yield connection


def rows(raw: sqlite3.Connection, table: str) -> list[tuple[object, ...]]:
    return raw.execute(f"SELECT * FROM {table}").fetchall()


@pytest.mark.parametrize("table", ADDED_ONLY)
def test_rows_are_never_changed(raw: sqlite3.Connection, table: str) -> None:
    before = rows(raw, table)
    assert before
    column = raw.execute(f"SELECT name FROM pragma_table_info('{table}')").fetchall()[-1][0]
    with pytest.raises(sqlite3.IntegrityError, match="never changed"):
        raw.execute(f"UPDATE {table} SET {column} = {column}")
    assert rows(raw, table) == before


@pytest.mark.parametrize("table", [*ADDED_ONLY, *RETIRED_ONLY])
def test_rows_are_never_deleted(raw: sqlite3.Connection, table: str) -> None:
    before = rows(raw, table)
    assert before
    with pytest.raises(sqlite3.IntegrityError, match="never deleted"):
        raw.execute(f"DELETE FROM {table}")
    assert rows(raw, table) == before


@pytest.mark.parametrize("table", [*ADDED_ONLY, *RETIRED_ONLY])
def test_rows_are_never_replaced(raw: sqlite3.Connection, table: str) -> None:
    """INSERT OR REPLACE deletes the old row; only with recursive triggers is that refused."""
    before = rows(raw, table)
    with pytest.raises(sqlite3.IntegrityError, match="never deleted"):
        raw.execute(f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}")
    assert rows(raw, table) == before


@pytest.mark.parametrize(
    "change",
    [
        "id = id + 1",
        "uid = 'x'",
        "local_date = '2001-01-01'",
        "time_zone = 'UTC'",
        "train_revision_id = NULL",
        "observer = 'somebody else'",
        "started_utc = '2001-01-01T00:00:00.000000Z'",
    ],
)
def test_of_a_night_only_its_end_may_change(raw: sqlite3.Connection, change: str) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="only the end of a night"):
        raw.execute(f"UPDATE night SET {change}")
    raw.execute("UPDATE night SET ended_utc = '2025-10-05T02:00:00.000000Z'")


def test_a_row_is_corrected_once(raw: sqlite3.Connection) -> None:
    """Two programs that correct the same line: the file itself refuses the second."""
    values = "'2025-10-04T19:00:00.000000Z', '2025-10-04T19:00:00.000000Z', 'note', 'x', 1"
    columns = "happened_utc, recorded_utc, kind, text, supersedes_id, uid"
    raw.execute(f"INSERT INTO entry ({columns}) VALUES ({values}, 'first')")
    with pytest.raises(sqlite3.IntegrityError, match=r"UNIQUE.*supersedes_id"):
        raw.execute(f"INSERT INTO entry ({columns}) VALUES ({values}, 'second')")


def test_an_instant_without_a_zone_does_not_reach_the_file(book_path: Path) -> None:
    naive = datetime(2025, 10, 4, 19, 0)  # noqa: DTZ001
    engine = create_engine(f"sqlite:///{book_path}")
    with engine.connect() as connection, pytest.raises(StatementError, match="without a time zone"):
        connection.execute(insert(BookRow).values(uid="x", made_utc=naive, made_with="test"))
    engine.dispose()


def test_instants_in_the_file_sort_in_time_order_and_are_readable(raw: sqlite3.Connection) -> None:
    kept = [row[0] for row in raw.execute("SELECT happened_utc FROM entry")]
    assert set(kept) == {"2025-10-04T19:00:00.000000Z"}


def test_a_foreign_key_that_points_nowhere_is_refused(raw: sqlite3.Connection) -> None:
    columns = "entry_id, quantity, number"
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        raw.execute(f"INSERT INTO reading ({columns}) VALUES (999, 'wind_m_s', 3)")


def test_an_impossible_number_does_not_reach_the_file(raw: sqlite3.Connection) -> None:
    with pytest.raises(sqlite3.IntegrityError, match="ck_reading_possible"):
        raw.execute("INSERT INTO reading (entry_id, quantity, number) VALUES (2, 'wind_m_s', -3)")


def test_an_old_night_keeps_the_train_it_was_done_with(
    book: Book,
    book_path: Path,
    night: NightRecord,
    train: TrainRecord,
    note: Callable[..., NewEntry],
) -> None:
    kept = book.timeline.keep(night.id, note("first light"))
    camera = Part("Small Chip", "camera").with_number("pixel_um", 2.9)
    book.kit.revise_part(train.part_ids[1], camera, "sensor replaced")
    with open_book(book_path) as again:
        then = again.nights.get(night.id).train
        assert then == train
        assert kept.train_revision_id == train.revision_id
        assert again.kit.train_at(train.revision_id) == train
        now = again.kit.train(train.id)
    assert now.revision == 2
    assert now.train.parts[1].number("pixel_um") == 2.9
    assert now.note == "Small Chip: sensor replaced"
