"""Commands that look back: what they print, what they write, what they leave alone."""

import fcntl
import json
import os
import pty
import re
import shutil
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from rich.cells import cell_len

from logbook import cli
from logbook.report.render.mark import MARK
from logbook.store.opening import open_book
from tests.report.hostile import OBJECT, PART, TRAIN, hostile_book

PAGES = (
    ["night", "2025-11-21"],
    ["compare", "2025-11-14", "2025-11-21"],
    ["object", OBJECT],
    ["part", PART],
    ["train", TRAIN],
    ["year", "2025"],
    ["trends"],
)
ENDINGS = {"txt": "(", "md": "# ", "json": "{", "html": "<!DOCTYPE html>"}


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("hostile") / "book.db"
    hostile_book(path).close()
    return path


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page[0]))
def test_every_page_can_be_written_in_every_form(
    path: Path, page: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for ending, begins in ENDINGS.items():
        target = tmp_path / f"page.{ending}"
        assert cli.main([*page, "--book", str(path), "--to", str(target)]) == 0
        assert capsys.readouterr().out == f"{target}\n"
        written = target.read_text("utf-8")
        assert MARK in written
        assert ending == "txt" or written.startswith(begins)
        assert sorted(each.name for each in tmp_path.iterdir() if each.name.endswith(".part")) == []


@pytest.mark.parametrize("form", ["text", "markdown", "json", "html"])
def test_a_page_goes_to_standard_output_when_no_file_is_named(
    path: Path, form: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["year", "2025", "--book", str(path), "--as", form]) == 0
    printed = capsys.readouterr()
    assert "2025" in printed.out
    assert printed.err == ""
    if form == "json":
        assert json.loads(printed.out)["year"] == 2025


def test_a_report_is_written_over_and_nothing_else_is(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "year.html"
    command = ["year", "2025", "--book", str(path), "--to", str(target)]
    assert cli.main(command) == 0
    assert cli.main(command) == 0
    target.write_text("my shopping list", "utf-8")
    capsys.readouterr()
    assert cli.main(command) == 2
    assert "--replace" in capsys.readouterr().err
    assert target.read_text("utf-8") == "my shopping list"
    assert cli.main([*command, "--replace"]) == 0
    assert MARK in target.read_text("utf-8")


@pytest.mark.parametrize("told", [[], ["--replace"]])
def test_a_book_is_never_written_over(
    path: Path, tmp_path: Path, told: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    copy = Path(shutil.copyfile(path, tmp_path / "copy.md"))
    before = copy.read_bytes()
    assert cli.main(["year", "2025", "--book", str(path), "--to", str(copy), *told]) == 2
    assert "never written over" in capsys.readouterr().err
    assert copy.read_bytes() == before


@pytest.mark.parametrize("told", [[], ["--replace"]])
def test_what_is_no_ordinary_file_is_refused_and_never_waited_for(
    path: Path, tmp_path: Path, told: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(tmp_path / "pipe.html")
    for target in (str(tmp_path / "pipe.html"), "/dev/full", "/dev/zero"):
        command = ["year", "2025", "--book", str(path), "--as", "html", "--to", target]
        assert cli.main([*command, *told]) == 2
        assert "no ordinary file" in capsys.readouterr().err


def test_a_file_with_the_reports_mark_far_inside_is_somebody_elses(
    path: Path, tmp_path: Path
) -> None:
    letter = f"{'x' * 9000}{MARK}{'x' * 9000}"
    target = tmp_path / "letter.txt"
    target.write_text(letter, "utf-8")
    assert cli.main(["year", "2025", "--book", str(path), "--to", str(target)]) == 2
    assert target.read_text("utf-8") == letter


@pytest.mark.parametrize("size", [0, 3000])
def test_a_full_disk_leaves_the_report_that_was_there(
    path: Path, tmp_path: Path, size: int
) -> None:
    """A limit on the size of files stands for a full disk: writing fails half way."""
    target = tmp_path / "year.html"
    target.write_text(f"<!-- {MARK} -->", "utf-8")
    run = (
        "import resource, signal, sys; from logbook import cli;"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, ({size}, {size}));"
        "sys.exit(cli.main(sys.argv[1:]))"
    )
    command = [sys.executable, "-c", run, "year", "2025", "--book", str(path), "--to", str(target)]
    with open_book(path, read_only=True):  # has written what reading needs beside the book
        done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 5
    assert "could not be written" in done.stderr
    assert "Traceback" not in done.stderr
    assert target.read_text("utf-8") == f"<!-- {MARK} -->"
    assert [each.name for each in tmp_path.iterdir()] == ["year.html"]
    alone = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert alone.returncode == 4
    assert "free some space" in alone.stderr
    assert "damaged" not in alone.stderr


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("page", "end it in .txt, .md, .json, .html"),
        ("page.pdf", "end it in .txt, .md, .json, .html"),
        ("nowhere/page.html", "There is no folder"),
        ("folder.html", "is a folder"),
    ],
)
def test_a_file_that_cannot_be_is_refused_with_what_can(
    path: Path, tmp_path: Path, name: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "folder.html").mkdir()
    command = ["year", "2025", "--book", str(path), "--to", str(tmp_path / name)]
    assert cli.main(command) == 2
    assert words in capsys.readouterr().err


def test_the_form_said_wins_over_the_ending(path: Path, tmp_path: Path) -> None:
    target = tmp_path / "page.txt"
    command = ["year", "2025", "--book", str(path), "--as", "json", "--to", str(target)]
    assert cli.main(command) == 0
    assert json.loads(target.read_text("utf-8"))["year"] == 2025


@pytest.mark.parametrize("page", [["year", "2025"], ["trends"], ["compare"], ["object", "m31"]])
def test_an_empty_book_is_no_failure_but_nothing_to_read(
    book_path: Path, page: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main([*page, "--book", str(book_path)]) == 3
    said = capsys.readouterr().err
    assert "F10" in said or "`start`" in said


def test_a_night_is_told_in_one_way_however_it_is_asked_for(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["night", "2025-11-21", "--book", str(path)]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("Night of Friday 21 November 2025")
    assert cli.main(["night", "2025-11-21", "--book", str(path), "--as", "text"]) == 0
    assert capsys.readouterr().out == printed


def in_a_terminal(command: list[str], columns: int, **settings: str) -> str:
    """What a command writes to a terminal of that width."""
    ours, its = pty.openpty()
    fcntl.ioctl(its, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    said = b""
    started = [sys.executable, "-m", "logbook", *command]
    world = {**os.environ, "TERM": "xterm-256color", **settings}
    world.pop("COLUMNS", None)
    with subprocess.Popen(started, stdout=its, stderr=subprocess.STDOUT, env=world) as running:
        os.close(its)
        try:
            while held := os.read(ours, 65536):
                said += held
        except OSError:  # its end is closed
            pass
        assert running.wait(60) == 0
    os.close(ours)
    return said.decode()


@pytest.mark.parametrize(("columns", "settings"), [(60, {"NO_COLOR": "1"}), (120, {})])
def test_a_terminal_of_any_width_gets_bold_words_and_no_colour(
    path: Path, columns: int, settings: dict[str, str]
) -> None:
    command = ["compare", "2025-11-14", "2025-11-21", "--book", str(path)]
    said = in_a_terminal(command, columns, **settings)
    marks = set(re.findall("\x1b\\[[0-9;]*[a-zA-Z]", said))
    assert marks <= {"\x1b[0m", "\x1b[1m"}
    assert "\x1b[1m" in marks
    plain = re.sub("\x1b\\[[0-9;]*m", "", said)
    body = plain.partition("Read on")[0]
    assert max(cell_len(line.rstrip("\r")) for line in body.split("\n")) <= columns
