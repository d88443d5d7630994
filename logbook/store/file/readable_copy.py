"""The file a book is read from: where it lies, or a copy where it lies cannot be written."""

import shutil
import sqlite3
import tempfile
from pathlib import Path

from logbook.store.file import files, sqlite

_HOLDS_ROWS = ("-wal", "-journal")


class ReadablePlace:
    """A file to connect to, as often as wanted. Close it.

    On a medium that cannot be written SQLite opens a book only by promise that nobody changes it,
    and then passes over what a killed program left in the -wal beside it; so such a pair is
    copied away first.
    """

    def __init__(self, path: Path, *, always_copy: bool = False) -> None:
        self.path = files.real_path(path)  # the -wal lies beside the file, not beside a link
        self.immutable = not sqlite.is_writable(self.path)
        self._untouched = False
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        if always_copy or (self.immutable and any(each.exists() for each in self._logs())):
            self._copy_away()

    def _copy_away(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="logbook-")
        for source in (self.path, *self._logs()):
            if source.exists():
                copied = Path(shutil.copyfile(source, Path(self._folder.name) / source.name))
                copied.chmod(files.PRIVATE)
        self.path = Path(self._folder.name) / self.path.name
        self.immutable = False

    def _logs(self) -> list[Path]:
        return [files.beside(self.path, ending) for ending in _HOLDS_ROWS]

    @classmethod
    def left_alone(cls, path: Path) -> "ReadablePlace":
        """The file at `path` with what lies in its logs; neither is touched, whosever they are."""
        # With nothing beside it a file is only read, and what that leaves beside it is tidied away.
        rolled_back = files.beside(files.real_path(path), "-journal").exists()
        place = cls(path, always_copy=rolled_back)
        place._untouched = not rolled_back and bool(files.logs_of(place.path))
        return place

    def connect(self, *, reads: bool = True) -> sqlite3.Connection:
        return sqlite.connect(
            self.path, reads=reads, untouched=self._untouched, immutable=self.immutable
        )

    def close(self) -> None:
        if self._folder is not None:
            self._folder.cleanup()

    def __enter__(self) -> "ReadablePlace":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
