"""The file a book is read from: where it lies, or a copy where it lies cannot be written."""

import shutil
import sqlite3
import tempfile
from pathlib import Path

from logbook.store import sqlite


class ReadablePlace:
    """A file to connect to, as often as wanted. Close it.

    On a medium that cannot be written SQLite opens a book only by promise that nobody changes it,
    and then passes over what a killed program left in the -wal beside it; so such a pair is
    copied away first.
    """

    def __init__(self, path: Path, *, always_copy: bool = False) -> None:
        self.path = path
        self.immutable = not sqlite.is_writable(path)
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        if always_copy or (self.immutable and sqlite.log_beside(path).exists()):
            self._copy_away()

    def _copy_away(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="logbook-")
        original, self.path = self.path, Path(self._folder.name) / self.path.name
        for source in (original, sqlite.log_beside(original)):
            if source.exists():
                copied = Path(shutil.copyfile(source, Path(self._folder.name) / source.name))
                copied.chmod(0o600)
        self.immutable = False

    def connect(self, *, reads: bool = False) -> sqlite3.Connection:
        return sqlite.connect(self.path, reads=reads, immutable=self.immutable)

    def close(self) -> None:
        if self._folder is not None:
            self._folder.cleanup()

    def __enter__(self) -> "ReadablePlace":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()
