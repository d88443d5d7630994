"""Frames in a folder and below it: found, read, and watched as a camera writes them.

Files are opened for reading, one at a time, and closed at once; nothing is locked or changed.
"""

import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from logbook.errors import BadInput
from logbook.frames.header import Frame, read_frame
from logbook.text import clean

_ENDINGS = (".fits", ".fit", ".fts", ".fits.fz", ".fit.fz", ".fz", ".fits.gz", ".fit.gz", ".fts.gz")


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that holds no frame to be logged, and why."""

    path: Path
    reason: str

    @property
    def words(self) -> str:
        """The file's name and why it was refused."""
        return f"{clean(self.path.name, longest=80)}: {self.reason}"


@dataclass
class Reading:
    """What came of reading files."""

    frames: list[Frame] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)


def checked_folder(typed: str) -> Path:
    """The folder meant. Raises BadInput if there is none."""
    try:
        path = Path(typed.strip()).expanduser()
        if typed.strip() and path.is_dir():
            return path
    except (OSError, ValueError, RuntimeError):  # a name no folder can have, a home unknown
        pass
    raise BadInput(f"there is no folder {clean(typed, longest=200)!r}")


def frame_paths(folder: Path) -> list[Path]:
    """Files below a folder whose names are a frame's, sorted. Links to folders are not followed.

    A folder that cannot be read is passed over: a memory card may be pulled at any time.
    """
    return sorted(_walk(folder))


def _walk(folder: Path) -> Iterator[Path]:
    for parent, _, names in os.walk(folder):
        for name in names:
            if name.lower().endswith(_ENDINGS) and not name.startswith("."):
                yield Path(parent, name)


def read_frames(paths: Iterable[Path], *, each: Callable[[], object] = lambda: None) -> Reading:
    """Read the header of every file.

    each -- called after every file, for a bar or to stop: what it raises ends the reading.
    """
    reading = Reading()
    for path in paths:
        try:
            reading.frames.append(read_frame(path))
        except BadInput as refusal:
            reading.refused.append(Refused(path, str(refusal)))
        each()
    return reading


class FolderWatch:
    """Finds the frames that are new or changed since it was asked last.

    A file counts once its size and time are the same in two looks, so that one still being written
    is left alone. A file that could not be read is read again when it has changed.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen: dict[Path, tuple[int, int]] = {}
        self._read: dict[Path, tuple[int, int]] = {}

    def settled(self) -> list[Path]:
        """The files that are whole now and were not yet reported."""
        now = {path: stamp for path in frame_paths(self.folder) if (stamp := _stamp(path))}
        ready = [
            path
            for path, stamp in now.items()
            if self._seen.get(path) == stamp and self._read.get(path) != stamp
        ]
        self._seen = now
        self._read |= {path: now[path] for path in ready}
        return ready


def _stamp(path: Path) -> tuple[int, int] | None:
    """Size and time of a file; None if it went away."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_size, found.st_mtime_ns
