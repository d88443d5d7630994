"""The command for frames on disk: shows first, adds when asked, watches until ctrl+c."""

import json
import os
import signal
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest

from logbook.cli import main
from logbook.commands.frames import Looking
from logbook.errors import NotWritten
from logbook.frames.folder_watch import FolderWatch
from logbook.kit.parts.part import Part
from logbook.sky.night.site import Site
from logbook.store.book import Book
from logbook.store.frames.add import Added
from logbook.store.frames.plan import PlannedRun, Wish
from logbook.store.opening import make_book, open_book
from tests.frames.made_frames import FIRST, write_frame, write_run


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A book with one ended night, of the evening the frames were taken."""
    path = make_book(tmp_path / "book" / "night.db")
    with open_book(path) as book:
        site = book.sites.add(Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna"))
        tube = book.kit.add_part(
            Part("Long Tube", "telescope").with_number("focal_length_mm", 1624)
        )
        chip = book.kit.add_part(Part("Small Chip", "camera").with_number("pixel_um", 3.76))
        train = book.kit.add_train("Long train", "camera", (tube.id, chip.id))
        night = book.nights.start(site.id, train.id, "R. Quill", FIRST - timedelta(hours=1))
        book.nights.end(night.id, FIRST + timedelta(hours=6))
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "pictures"
    write_run(folder, 5)
    write_run(folder / "oiii", 3, FIRST + timedelta(hours=1), FILTER="OIII", FOCALLEN=1000.0)
    (folder / "junk.fits").write_bytes(b"\x1b[2J")
    return folder


def counts(path: Path) -> list[int]:
    with open_book(path, read_only=True) as book:
        latest = book.nights.latest()
        assert latest is not None
        timeline = book.timeline.of_night(latest.id)
        return [each.content.frames.count for each in timeline if each.content.frames]


def run(path: Path, *arguments: str) -> int:
    return main(["frames", "--book", str(path), *arguments])


def test_it_tells_what_would_be_added_and_adds_nothing(
    path: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(path, str(folder)) == 0
    said = capsys.readouterr()
    assert "2025-10-04 Andromeda Galaxy (by name): 5 × 180 s Ha, gain 100" in said.out
    assert "22:03 to 22:22 (20:03 UTC), sensor -10 °C, focus 12340" in said.out
    assert "! focal length: 1000 mm in the frames, 1624 mm by the train" in said.out
    assert "junk.fits: it is not a FITS file" in said.out
    assert "\x1b" not in said.out
    assert "8 frames in 2 runs to add; 1 file not read." in said.err
    assert "--add adds it" in said.err
    assert counts(path) == []


def test_it_adds_when_asked_and_only_once(
    path: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(path, str(folder), "--add") == 0
    assert "Kept: 8 frames in 2 runs; 1 file not read." in capsys.readouterr().err
    assert counts(path) == [5, 3]
    assert run(path, str(folder), "--add") == 0
    assert "Kept: 0 frames in 0 runs; 8 in the book already" in capsys.readouterr().err
    assert counts(path) == [5, 3]


def test_json_has_every_run_and_refusal(
    path: Path, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(path, str(folder), "--add", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert [each["new_frames"] for each in told["runs"]] == [5, 3]
    assert told["runs"][0]["object"] == "Andromeda Galaxy"
    assert told["runs"][0]["frames"]["filter_name"] == "Ha"
    assert told["runs"][0]["begins_utc"] == "2025-10-04T20:03:00Z"
    assert told["runs"][1]["warnings"] == [
        "focal length: 1000 mm in the frames, 1624 mm by the train"
    ]
    assert [each["new_frames"] for each in told["added"]] == [5, 3]
    assert told["refused"] == [
        {"file": str(folder / "junk.fits"), "reason": "it is not a FITS file"}
    ]


def test_a_night_that_is_not_in_the_book_is_begun_only_when_asked(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "older"
    write_run(folder, 2, FIRST - timedelta(days=7))
    assert run(path, str(folder), "--add") == 0
    said = capsys.readouterr()
    assert "! there is no night of 2025-09-27 in the book" in said.out
    assert "2 frames left out" in said.err
    assert run(path, str(folder), "--add", "--begin-nights", "--site", "Mill Hill") == 0
    assert "begins the night at Mill Hill" in capsys.readouterr().out
    with open_book(path, read_only=True) as book:
        assert len(book.nights.summaries()) == 2


def test_many_refusals_are_counted_not_listed(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "junk"
    folder.mkdir()
    for number in range(12):
        (folder / f"{number:02d}.fits").write_bytes(b"")
    assert run(path, str(folder)) == 0
    assert "and 4 more" in capsys.readouterr().out


@pytest.mark.parametrize("folder", ["", "no such folder"])
def test_a_folder_that_is_not_there_is_refused(
    path: Path, folder: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(path, folder) == 2
    assert "there is no folder" in capsys.readouterr().err


def test_an_unknown_site_is_refused(path: Path, folder: Path) -> None:
    assert run(path, str(folder), "--site", "Nowhere") == 3


# --- watching ---


def look(book: Book, looking: Looking) -> list[int]:
    return [each.new for each in looking.look(book)]


def test_frames_are_added_as_they_land_and_a_run_grows(path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "tonight"
    folder.mkdir()
    said: list[str] = []
    with open_book(path) as book:
        looking = Looking(FolderWatch(folder), Wish(), book.frame_files.add, said.append)
        assert look(book, looking) == []
        for number in range(3):
            write_frame(folder / f"{number}.fits", FIRST + timedelta(minutes=4 * number))
            assert look(book, looking) == []  # it may still be written
            assert look(book, looking) == [1]
        (folder / "0.fits").rename(folder / "renamed.fits")
        assert [look(book, looking), look(book, looking)] == [[], []]
        (folder / "half.fits").write_bytes((folder / "1.fits").read_bytes()[:2900])
        assert [look(book, looking), look(book, looking)] == [[], []]
    assert counts(path) == [3]
    assert [words.split(":")[0] for words in said] == ["Not read as a frame, half.fits"]
    assert "still being written" in said[0]


def test_frames_of_no_night_are_told_once_while_watching(path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "tonight"
    write_run(folder, 2, FIRST - timedelta(days=7))
    said: list[str] = []
    with open_book(path) as book:
        looking = Looking(FolderWatch(folder), Wish(), book.frame_files.add, said.append)
        for _ in range(4):
            assert look(book, looking) == []
    assert said == ["Left out 2 frames: there is no night of 2025-09-27 in the book."]


def test_a_full_disk_is_told_once_and_tried_again(path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "tonight"
    write_run(folder, 2)
    said: list[str] = []
    with open_book(path) as book:

        def keep(planned: PlannedRun) -> Added | None:
            tries.append(planned)
            if len(tries) <= 2:
                raise NotWritten("Not written: the disk is full.")
            return book.frame_files.add(planned)

        tries: list[PlannedRun] = []
        looking = Looking(FolderWatch(folder), Wish(), keep, said.append)
        assert [look(book, looking) for _ in range(5)] == [[], [], [], [2], []]
    assert said == ["Not written: the disk is full."]
    assert counts(path) == [2]


@pytest.mark.slow
def test_watching_ends_cleanly_with_ctrl_c(path: Path, folder: Path) -> None:
    command = [
        sys.executable,
        "-m",
        "logbook",
        "frames",
        "--book",
        str(path),
        str(folder),
        "--watch",
    ]
    environment = os.environ | {"PYTHONPATH": os.getcwd(), "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # as a terminal has it
    ) as watching:
        assert watching.stdout is not None
        told = [watching.stdout.readline() for _ in range(2)]
        watching.send_signal(signal.SIGINT)
        _, error = watching.communicate(timeout=60)
    assert "Kept: Andromeda Galaxy: 5 × 180 s Ha" in told[0]
    assert watching.returncode == 0
    assert "No longer watching; 8 frames came in." in error
    assert counts(path) == [5, 3]
