"""Which windows of the program are open, so that none takes what is half typed in another.

A window holds a lock on a small file for as long as it lives; the system lets go of the lock when
the program ends, however it ends. A process number would not do: after a restart of the computer
another program has it.
"""

import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import IO
from uuid import uuid4

import platformdirs

if sys.platform != "win32":
    import fcntl


class Window:
    """One start of the program, by a word of its own."""

    def __init__(self) -> None:
        self.name = uuid4().hex
        self._path = _folder() / self.name
        self._descriptor: int | None = None  # a plain one: its lock may end with the program
        with suppress(OSError):  # without a lock another start takes over what is typed here
            self._path.parent.mkdir(parents=True, exist_ok=True)
            self._descriptor = os.open(self._path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
            _lock(self._descriptor)

    def close(self) -> None:
        """Let the next start take over what is still half typed here."""
        if self._descriptor is not None:
            os.close(self._descriptor)
            _remove(self._path)
        self._descriptor = None


def is_open(name: str) -> bool:
    """Whether the window of that name lives, on this computer."""
    path = _folder() / name
    if not name.isalnum() or not path.is_file():
        return False
    try:
        with path.open("rb") as found:
            _lock(found)
    except BlockingIOError:
        return True
    except OSError:
        return False
    _remove(path)
    return False


def _folder() -> Path:
    return Path(platformdirs.user_state_path("observing-logbook", appauthor=False)) / "windows"


def _remove(path: Path) -> None:
    with suppress(OSError):
        path.unlink()


def _lock(opened: IO[bytes] | int) -> None:
    """Lock a file until it is closed. Raises BlockingIOError where another has locked it."""
    if sys.platform != "win32":
        fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
