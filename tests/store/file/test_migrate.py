"""The migrations make the tables the models describe, and bring an older book up to date whole."""

import shutil
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine, inspect

import logbook
from logbook.errors import BookRefused, LogbookError, NotWritten
from logbook.records.entries import LookDetail, NewEntry, StarLook
from logbook.store.file import book_state, migrate, sqlite
from logbook.store.file.book_state import Condition, look
from logbook.store.opening import make_book, open_book
from logbook.store.tables.models import Base
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
    "frame_file",
    "turn",
    "star_look",
    "upkeep",
)
RETIRED_ONLY = (
    "site",
    "part",
    "screw",
    "train",
    "target",
    "project",
    "limit_set",
    "night",
    "upkeep_rule",
)
TRIGGERS = {
    "0001": {f"{table}_never_changed" for table in ADDED_ONLY}
    | {f"{table}_never_deleted" for table in (*ADDED_ONLY, *RETIRED_ONLY)}
    | {"night_only_ends"},
}
TRIGGERS["0002"] = TRIGGERS["0001"] | {
    f"{table}_never_{what}"
    for table in ("star_look_detail", "star_check", "adjustment")
    for what in ("changed", "deleted")
}
TRIGGERS["0003"] = TRIGGERS["0002"] | {"entry_words_follow"}
TRIGGERS["0004"] = TRIGGERS["0003"] | {
    f"{table}_never_{what}" for table in ("unit", "unit_change") for what in ("changed", "deleted")
}
TRIGGERS["0005"] = TRIGGERS["0004"]
NOW = book_state.HEAD
TO_COME = f"{int(NOW) + 1:04d}"
# The next revision, of a program to come: a column that every trigger must outlive.
NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "{to_come}"
down_revision = "{now}"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("site", sa.Column("street_lamps", sa.Integer, nullable=True))
    {more}
"""
FAILS = 'op.execute("INSERT INTO nowhere VALUES (1)")'
REBUILDS = """
    with op.batch_alter_table("night") as batch:
        batch.alter_column("observer", type_=sa.String(200))
"""
BREAKS = "op.execute(\"INSERT INTO reading VALUES (1, 999, 'wind_m_s', 2.0)\")"


@pytest.fixture
def engine(book_path: Path) -> Iterator[Engine]:
    made = create_engine(f"sqlite:///{book_path}")
    yield made
    made.dispose()


def triggers(path: Path) -> set[str]:
    with closing(sqlite3.connect(path)) as connection:
        query = "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        return {row[0] for row in connection.execute(query)}


def test_the_program_knows_its_newest_revision() -> None:
    scripts = ScriptDirectory.from_config(migrate.migration_config())
    assert scripts.get_current_head() == book_state.HEAD
    revisions = [script.revision for script in scripts.walk_revisions()]
    assert revisions == sorted(revisions, reverse=True)
    assert set(revisions) == set(TRIGGERS)


def test_the_migrations_make_what_the_models_describe(engine: Engine) -> None:
    with engine.connect() as connection:
        opts = {"compare_type": True, "include_name": not_the_index_of_words}
        context = MigrationContext.configure(connection, opts=opts)
        assert compare_metadata(context, Base.metadata) == []


def not_the_index_of_words(name: str | None, kind: str, _: object) -> bool:
    """It is SQLite's own, made from the entries, and no model describes it."""
    return kind != "table" or not (name or "").startswith("entry_words")


def test_the_migrations_make_every_constraint_of_the_models(engine: Engine) -> None:
    """Alembic compares no CHECK, so two bare books are compared here, constraint by constraint."""
    bare = create_engine("sqlite://")
    Base.metadata.create_all(bare)
    made, described = inspect(engine), inspect(bare)
    for table in Base.metadata.tables:
        for look_up in ("get_check_constraints", "get_unique_constraints", "get_foreign_keys"):
            key = lambda each: str(each["name"])  # noqa: E731
            found = sorted(getattr(made, look_up)(table), key=key)
            assert found == sorted(getattr(described, look_up)(table), key=key), table
        assert made.get_pk_constraint(table) == described.get_pk_constraint(table)
    bare.dispose()


def test_every_constraint_has_a_name(engine: Engine) -> None:
    with engine.connect() as connection:
        query = "SELECT sql FROM sqlite_master WHERE type = 'table'"
        for (sql,) in connection.exec_driver_sql(query):
            for line in sql.splitlines():
                if line.strip().startswith(("CHECK", "UNIQUE", "FOREIGN", "PRIMARY")):
                    pytest.fail(f"unnamed: {line.strip()}")
            assert "ON DELETE" not in sql


def test_every_trigger_is_there_at_each_revision(tmp_path: Path) -> None:
    for revision, expected in TRIGGERS.items():
        path = tmp_path / f"{revision}.db"
        path.touch()
        migrate.fill_new_book(path, book_state.APPLICATION_ID, EVENING, revision=revision)
        assert triggers(path) == expected


def test_a_migration_needs_nothing_of_the_program() -> None:
    """So that it makes the same tables whatever the program becomes."""
    folder = migrate.migrations_folder() / "versions"
    for script in folder.glob("*.py"):
        assert "logbook" not in script.read_text(encoding="utf-8")


# A book of a program before this one: the same folder of migrations, one revision longer.


@pytest.fixture
def later(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The migrations of a program to come; `write_next` completes them."""
    folder = tmp_path / "later"
    shutil.copytree(migrate.migrations_folder(), folder)
    monkeypatch.setattr(migrate, "migrations_folder", lambda: folder)
    monkeypatch.setattr(book_state, "HEAD", TO_COME)
    yield folder
    for name in [name for name in sys.modules if name.startswith(TO_COME)]:
        del sys.modules[name]


def write_next(folder: Path, more: str = "pass") -> None:
    script = NEXT.replace("{more}", more).replace("{to_come}", TO_COME).replace("{now}", NOW)
    (folder / "versions" / f"{TO_COME}_next.py").write_text(script, encoding="utf-8")


def keep_note(path: Path, text: str = "kept before") -> None:
    with open_book(path) as book:
        book.timeline.keep(None, NewEntry("note", EVENING, text))


def copies_of(path: Path) -> list[Path]:
    return sorted(book_state.copies_folder(path).glob("*"))


@pytest.fixture
def older_path(book_path: Path) -> Path:
    keep_note(book_path)
    return book_path


def test_an_older_book_is_copied_and_brought_up_to_date(older_path: Path, later: Path) -> None:
    write_next(later)
    old_content = older_path.read_bytes()
    assert look(older_path).condition is Condition.OLDER
    with open_book(older_path) as book:
        assert [each.content.text for each in book.timeline.of_night(None)] == ["kept before"]
    assert look(older_path).condition is Condition.CURRENT
    assert triggers(older_path) == TRIGGERS[NOW]
    (copy,) = copies_of(older_path)
    assert book_state.last_sound_copy(older_path) == copy
    assert look(copy).revision == NOW
    assert older_path.read_bytes() != old_content


def test_an_older_book_opened_for_reading_is_left_as_it_is(older_path: Path, later: Path) -> None:
    write_next(later)
    before = older_path.read_bytes()
    with open_book(older_path, read_only=True) as book:
        assert [each.content.text for each in book.timeline.of_night(None)] == ["kept before"]
    assert older_path.read_bytes() == before
    assert copies_of(older_path) == []


def test_a_migration_that_fails_leaves_the_book_as_it_was(older_path: Path, later: Path) -> None:
    write_next(later, FAILS)
    with pytest.raises(BookRefused, match="could not be brought up to date"):
        open_book(older_path)
    assert look(older_path).revision == NOW
    with closing(sqlite3.connect(older_path)) as connection:
        columns = {row[1] for row in connection.execute("PRAGMA table_info(site)")}
    assert "street_lamps" not in columns
    write_next(later)
    open_book(older_path).close()
    assert look(older_path).condition is Condition.CURRENT


def test_a_migration_that_breaks_a_link_is_not_kept(older_path: Path, later: Path) -> None:
    write_next(later, BREAKS)
    with pytest.raises(BookRefused, match="reading would point nowhere"):
        open_book(older_path)
    assert look(older_path).revision == NOW


def test_rebuilding_a_table_deletes_nothing_that_points_at_it(
    older_path: Path, later: Path
) -> None:
    """With foreign keys on, a rebuilt parent takes its children along or fails."""
    write_next(later, REBUILDS.strip())
    with open_book(older_path) as book:
        assert len(book.timeline.of_night(None)) == 1
    lost = TRIGGERS[NOW] - triggers(older_path)
    assert lost == {"night_only_ends", "night_never_deleted"}  # why it would have to remake them


def test_two_programs_that_start_at_once_upgrade_once(older_path: Path, later: Path) -> None:
    write_next(later)
    failed: list[LogbookError] = []

    def start() -> None:
        try:
            migrate.bring_up_to_date(older_path, copies=book_state.copies_folder(older_path))
        except LogbookError as error:
            failed.append(error)

    threads = [threading.Thread(target=start) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert look(older_path).condition is Condition.CURRENT
    assert [look(copy).revision for copy in copies_of(older_path)] == [NOW]


def test_a_book_held_by_a_writer_is_not_upgraded(
    older_path: Path, later: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_next(later)
    monkeypatch.setattr(sqlite, "BUSY_TIMEOUT_MS", 20)
    with closing(sqlite3.connect(older_path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(NotWritten, match="another program"):
            open_book(older_path)
        other.execute("ROLLBACK")
    assert look(older_path).revision == NOW


def test_an_upgrade_that_finds_the_disk_full_is_not_kept(older_path: Path, later: Path) -> None:
    write_next(
        later,
        "op.execute('PRAGMA max_page_count = 1')\n    op.execute("
        '"CREATE TABLE big AS SELECT randomblob(1000000) AS content")',
    )
    with pytest.raises(NotWritten, match="disk is full"):
        open_book(older_path)
    assert look(older_path).revision == NOW


def test_migrations_are_found_beside_an_installed_package(tmp_path: Path) -> None:
    """In a wheel they lie inside the package; nothing of the checkout is needed then."""
    package = tmp_path / "site-packages" / "logbook"
    source = Path(logbook.__file__).parent
    shutil.copytree(source, package, ignore=shutil.ignore_patterns("__pycache__", "data"))
    shutil.copytree(migrate.migrations_folder(), package / "migrations")
    program = (
        "from pathlib import Path; from logbook.store.opening import make_book; "
        "from logbook.store.file import migrate; make_book(Path('new.db')); "
        "print(migrate.migrations_folder())"
    )
    libraries = [each for each in sys.path if each.endswith("site-packages")]
    done = subprocess.run(
        [sys.executable, "-c", program],
        cwd=tmp_path,
        env={"PYTHONPATH": ":".join([str(package.parent), *libraries])},
        capture_output=True,
        text=True,
        check=True,
    )
    assert Path(done.stdout.strip()) == package / "migrations"
    assert look(tmp_path / "new.db").condition is Condition.CURRENT


def test_a_killed_making_leaves_no_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def killed(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(migrate, "fill_new_book", killed)
    with pytest.raises(KeyboardInterrupt):
        make_book(tmp_path / "night.db")
    assert list(tmp_path.iterdir()) == []


def test_a_book_of_the_first_revision_takes_what_came_later(tmp_path: Path) -> None:
    path = tmp_path / "first.db"
    path.touch()
    migrate.fill_new_book(path, book_state.APPLICATION_ID, EVENING, revision="0001")
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(
            "INSERT INTO entry (uid, happened_utc, recorded_utc, kind, text) VALUES "
            "('a', '2025-10-04T19:00:00.000000Z', '2025-10-04T19:00:00.000000Z', 'note', 'old')"
        )
        connection.commit()
    seen = StarLook(0.1, 30.0, detail=LookDetail(altitude_deg=55.0, pier_side="west"))
    with open_book(path) as book:
        book.timeline.keep(None, NewEntry("star", EVENING, "shadow", look=seen))
        old, new = book.timeline.of_night(None)
        assert (old.content.text, old.content.look) == ("old", None)
        assert new.content.look == seen
    assert triggers(path) == TRIGGERS[NOW]
    assert [look(copy).revision for copy in copies_of(path)] == ["0001"]
