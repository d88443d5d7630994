"""Folders are searched and watched; files are left as they are."""

import os
from pathlib import Path

import pytest

from logbook.errors import BadInput
from logbook.frames.folder_watch import FolderWatch, checked_folder, frame_paths, read_frames
from tests.frames.made_frames import write_frame


def names(paths: list[Path]) -> list[str]:
    return [path.name for path in paths]


def test_frames_are_found_below_a_folder_by_their_names(tmp_path: Path) -> None:
    for name in ("a.fits", "b.FIT", "deep/er/c.fts", "d.fits.fz", "e.fits.gz"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(b"")
    for name in ("notes.txt", ".hidden.fits", "f.fits.tmp"):
        (tmp_path / name).write_bytes(b"")
    found = names(frame_paths(tmp_path))
    assert sorted(found) == ["a.fits", "b.FIT", "c.fts", "d.fits.fz", "e.fits.gz"]


def test_a_loop_of_links_is_not_walked(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "x.fits").symlink_to(tmp_path / "x.fits")
    write_frame(tmp_path / "a.fits")
    reading = read_frames(frame_paths(tmp_path))
    assert len(reading.frames) == 1
    assert "cannot be read" in reading.refused[0].words


def test_what_cannot_be_read_is_told_and_the_rest_is_read(tmp_path: Path) -> None:
    write_frame(tmp_path / "good.fits")
    (tmp_path / "bad\x1b[31m.fits").write_bytes(b"no")
    os.mkfifo(tmp_path / "pipe.fits")
    steps: list[int] = []
    reading = read_frames(frame_paths(tmp_path), each=lambda: steps.append(1))
    assert (len(reading.frames), len(steps)) == (1, 3)
    assert [each.words for each in reading.refused] == [
        "bad[31m.fits: it is not a FITS file",
        "pipe.fits: it is not a plain file",
    ]


@pytest.mark.parametrize("typed", ["", "no such folder", "\x00", "~nobody-at-all/x"])
def test_a_folder_that_is_not_there_is_said(typed: str) -> None:
    with pytest.raises(BadInput, match="no folder"):
        checked_folder(typed)


def test_a_file_is_told_of_once_it_has_settled(tmp_path: Path) -> None:
    watch = FolderWatch(tmp_path)
    assert watch.settled() == []
    path = write_frame(tmp_path / "a.fits")
    whole = path.read_bytes()
    path.write_bytes(whole[:100])
    assert watch.settled() == []  # seen for the first time
    path.write_bytes(whole)
    assert watch.settled() == []  # grown since
    assert names(watch.settled()) == ["a.fits"]
    assert watch.settled() == []  # reported already


def test_a_file_that_changed_is_told_of_again(tmp_path: Path) -> None:
    watch = FolderWatch(tmp_path)
    path = tmp_path / "a.fits"
    path.write_bytes(b"half")
    watch.settled()
    assert names(watch.settled()) == ["a.fits"]
    write_frame(path)
    watch.settled()
    assert names(watch.settled()) == ["a.fits"]


def test_files_and_folders_may_go_while_they_are_watched(tmp_path: Path) -> None:
    folder = tmp_path / "card"
    watch = FolderWatch(folder)
    path = write_frame(folder / "a.fits")
    watch.settled()
    path.unlink()
    assert watch.settled() == []
    folder.rmdir()
    assert watch.settled() == []


def test_watching_leaves_files_as_they_are(tmp_path: Path) -> None:
    path = write_frame(tmp_path / "a.fits")
    before = (path.stat().st_mtime_ns, path.read_bytes())
    watch = FolderWatch(tmp_path)
    watch.settled()
    read_frames(watch.settled())
    path.rename(tmp_path / "b.fits")  # nothing holds it
    assert before == ((tmp_path / "b.fits").stat().st_mtime_ns, (tmp_path / "b.fits").read_bytes())
