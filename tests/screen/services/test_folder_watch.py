"""A frame is measured once, when it is whole."""

import os
from pathlib import Path

from logbook.screen.services.folder_watch import FolderWatch, newest_picture


def is_png(name: str) -> bool:
    return name.endswith(".png")


def watch(folder: Path) -> FolderWatch:
    """A watch that has seen the folder as it is."""
    it = FolderWatch(folder, is_png)
    assert it.look() == []
    return it


def test_what_lies_there_already_is_old_and_other_files_are_none(tmp_path: Path) -> None:
    (tmp_path / "old.png").write_bytes(b"old")
    it = watch(tmp_path)
    (tmp_path / "note.txt").write_bytes(b"x")
    (tmp_path / "new.png").write_bytes(b"new")
    assert it.look() == []
    assert it.look() == [tmp_path / "new.png"]
    assert it.look() == []


def test_a_file_that_still_grows_is_waited_for(tmp_path: Path) -> None:
    it = watch(tmp_path)
    frame = tmp_path / "frame.png"
    for size in (0, 10, 20):
        frame.write_bytes(b"x" * size)
        assert it.look() == []
    assert it.look() == [frame]


def test_an_empty_file_is_no_frame_yet(tmp_path: Path) -> None:
    it = watch(tmp_path)
    (tmp_path / "frame.png").touch()
    assert [it.look() for _ in range(3)] == [[], [], []]


def test_a_file_written_anew_is_a_new_frame(tmp_path: Path) -> None:
    frame = tmp_path / "latest.png"
    frame.write_bytes(b"first")
    it = watch(tmp_path)
    frame.write_bytes(b"second one")
    it.look()
    assert it.look() == [frame]


def test_frames_come_in_the_order_in_which_they_were_written(tmp_path: Path) -> None:
    it = watch(tmp_path)
    for second, name in enumerate(("b.png", "a.png")):
        (tmp_path / name).write_bytes(b"x")
        os.utime(tmp_path / name, (1000 + second, 1000 + second))
    it.look()
    assert [path.name for path in it.look()] == ["b.png", "a.png"]
    assert newest_picture(tmp_path, is_png) == tmp_path / "a.png"


def test_a_folder_that_is_gone_for_a_while_is_told_and_tried_again(tmp_path: Path) -> None:
    folder = tmp_path / "card"
    folder.mkdir()
    it = watch(folder)
    folder.rmdir()
    assert it.look() == []
    assert "card" in it.problem
    folder.mkdir()
    it.look()
    assert it.problem == ""
