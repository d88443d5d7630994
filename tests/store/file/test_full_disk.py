"""A disk that fills up half way: what is printed, the exit code, and that nothing half is left.

A limit on the size of files stands for the full disk. The commands run as a user runs them.
"""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from logbook import cli
from logbook.store.demo.demo import fresh_demo

RUN = """
import resource, signal, sys
from logbook import cli
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))
sys.exit(cli.main(sys.argv[1:]))
"""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return fresh_demo(tmp_path_factory.mktemp("demo"))


@pytest.fixture
def path(demo: Path, tmp_path: Path) -> Path:
    return Path(shutil.copyfile(demo, tmp_path / "book.db"))


def on_a_full_disk(*command: str) -> str:
    """What a command prints that must fail on a full disk."""
    done = subprocess.run(
        [sys.executable, "-c", RUN, *command],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 5
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert "What was typed" not in done.stderr
    return done.stderr


def held(folder: Path) -> list[str]:
    return sorted(str(each.relative_to(folder)) for each in folder.rglob("*") if each.is_file())


@pytest.mark.slow
def test_no_half_copy_is_left(path: Path, tmp_path: Path) -> None:
    assert "No copy was made" in on_a_full_disk("backup", "--book", str(path))
    said = on_a_full_disk("backup", str(tmp_path / "stick.db"), "--book", str(path))
    assert "free some space" in said
    assert held(tmp_path) == ["book.db"]


def test_the_book_stays_where_a_copy_cannot_be_put_back(path: Path, tmp_path: Path) -> None:
    (tmp_path / "book copies").mkdir()
    copy = shutil.copyfile(path, tmp_path / "book copies/older.db")
    before = path.read_bytes()
    said = on_a_full_disk("restore", str(copy), "--book", str(path))
    assert "Nothing was put back" in said
    assert "as it was" in said
    assert path.read_bytes() == before
    assert held(tmp_path) == ["book copies/older.db", "book.db"]


@pytest.mark.slow
def test_a_half_export_is_said_and_can_be_finished(path: Path, tmp_path: Path) -> None:
    folder = str(tmp_path / "out")
    said = on_a_full_disk("export", folder, "--book", str(path))
    assert "not whole" in said
    assert "export again" in said
    assert not [each for each in held(tmp_path) if each.endswith(".part")]
    assert cli.main(["export", folder, "--book", str(path)]) == 0
    assert cli.main(["import", folder, "--book", str(tmp_path / "again.db")]) == 0


def test_no_half_book_is_left_by_an_import(path: Path, tmp_path: Path) -> None:
    folder, new = str(tmp_path / "out"), tmp_path / "new.db"
    assert cli.main(["export", folder, "--book", str(path)]) == 0
    said = on_a_full_disk("import", folder, "--book", str(new))
    assert "No book was made" in said
    assert "import again" in said
    assert not list(tmp_path.glob("new.db*"))


@pytest.mark.parametrize("command", [["backup"], ["export"], ["restore"], ["year", "2026", "--to"]])
def test_a_name_that_no_disk_takes_is_refused_in_a_line(
    path: Path, command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main([*command, f"{'x' * 300}.html", "--book", str(path)]) == 2
    said = capsys.readouterr().err
    assert "too long" in said
    assert "had to stop" not in said
