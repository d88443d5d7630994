"""New files: made exclusively under a name nobody can foresee, and moved into place whole.

SQLite plays a log (NAME-wal, NAME-journal) into whatever file has the log's name without the
ending. So a log that lies beside a free name makes that name a dangerous one.
"""

import os
import secrets
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

PRIVATE = 0o600  # for books, their copies and crash logs: they show where somebody lives
SHARED = 0o666  # less the umask, as any program's files
LOG_ENDINGS = ("-wal", "-shm", "-journal")


class NameTaken(Exception):
    """Every name that a new file might have got is another file's."""


def beside(path: Path, ending: str) -> Path:
    """The file whose name is that of `path` and an ending."""
    return path.with_name(f"{path.name}{ending}")


def logs_of(path: Path) -> tuple[Path, ...]:
    """What SQLite keeps beside the file at `path`, whether or not that file is there."""
    named = (beside(path, ending) for ending in LOG_ENDINGS)
    return tuple(each for each in named if os.path.lexists(each))


def is_free(path: Path) -> bool:
    """True if nothing has this name, and no log would be played into a file that gets it."""
    return not os.path.lexists(path) and not logs_of(path)


def real_path(path: Path) -> Path:
    """Where the file lies that `path` names, by links or not. A loop of links stays as it is."""
    return Path(os.path.realpath(path))


def numbered(path: Path) -> Iterator[Path]:
    """The name itself, then NAME 2, NAME 3 and so on, before its ending."""
    yield path
    for number in range(2, 10_000):
        yield path.with_name(f"{path.stem} {number}{path.suffix}")


@contextmanager
def temporary_beside(path: Path, *, mode: int = PRIVATE) -> Iterator[Path]:
    """An empty file in the folder of `path`, to be moved into place; gone after the block."""
    part = beside(path, f".{secrets.token_hex(4)}.part")
    os.close(create(part, mode))
    try:
        yield part
    finally:
        for left in (part, *logs_of(part)):
            with suppress(OSError):
                left.unlink()


def create(path: Path, mode: int = PRIVATE) -> int:
    """Make a file that was not there, following no link; its descriptor, to write to.

    Raises FileExistsError if anything has this name.
    """
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0)
    return os.open(path, flags | getattr(os, "O_BINARY", 0), mode)


@contextmanager
def replacing(path: Path) -> Iterator[IO[str]]:
    """A text file that takes the place of `path` once it is whole and on disk. Raises OSError."""
    with temporary_beside(path, mode=SHARED) as part:
        with part.open("w", encoding="utf-8", newline="\n") as opened:
            yield opened
            opened.flush()
            os.fsync(opened.fileno())
        os.replace(part, path)


def move_into_free_place(part: Path, names: Iterable[Path]) -> Path:
    """Give `part` the first of `names` that is free; which one.

    Raises NameTaken if none is, however late another program took it, OSError.
    """
    for path in names:
        if not is_free(path):
            continue
        try:
            os.link(part, path)
        except FileExistsError:
            continue
        except OSError:  # a file system without links
            if not _take_name(part, path):
                continue
        sync_folder(path.parent)
        return path
    raise NameTaken


def _take_name(part: Path, path: Path) -> bool:
    """Give `part` a free name without a link; whether it was free."""
    try:
        os.close(create(path))
    except FileExistsError:
        return False
    try:
        os.replace(part, path)
    except OSError:
        path.unlink()
        raise
    return True


def sync_file(path: Path) -> None:
    """Have the disk hold the file's content."""
    with path.open("rb+") as opened:
        os.fsync(opened.fileno())


def sync_folder(folder: Path) -> None:
    """Have the disk hold the folder's list of names, where the system can do that."""
    if os.name == "nt":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
