"""A folder that frames land in: which of its pictures are new and whole. Nothing is held open."""

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

Stamp = tuple[int, int]  # size in bytes, time of change in ns


@dataclass
class FolderWatch:
    """Finds the new pictures of a folder, each once, when its size has stood still for one look.

    What lies there at the first look is old. A file that is written anew counts as new.
    is_picture -- by its name.
    """

    folder: Path
    is_picture: Callable[[str], bool]
    problem: str = ""  # why the last look failed; "" if it did not
    _told: dict[str, Stamp] | None = None
    _growing: dict[str, Stamp] = field(default_factory=dict)

    def look(self) -> list[Path]:
        """New whole pictures, oldest first; [] and `problem` if the folder cannot be read."""
        try:
            found = self._stamps()
        except OSError as error:
            self.problem = f"{self.folder.name}: {error.strerror or 'cannot be read'}; still trying"
            return []
        self.problem = ""
        if self._told is None:
            self._told = found
            return []
        whole = {
            name: stamp
            for name, stamp in found.items()
            if self._told.get(name) != stamp and self._growing.get(name) == stamp and stamp[0] > 0
        }
        self._growing = found
        self._told.update(whole)
        return [self.folder / name for name in sorted(whole, key=lambda name: whole[name][1])]

    def _stamps(self) -> dict[str, Stamp]:
        stamps = {}
        for path in self.folder.iterdir():
            if not self.is_picture(path.name):
                continue
            try:
                stat = path.stat()
            except OSError:  # gone, or renamed, between the two
                continue
            stamps[path.name] = (stat.st_size, stat.st_mtime_ns)
        return stamps


def newest_picture(folder: Path, is_picture: Callable[[str], bool]) -> Path | None:
    """The picture of a folder that was changed last. Raises OSError."""
    pictures = (path for path in folder.iterdir() if is_picture(path.name) and path.is_file())
    return max(pictures, key=lambda path: path.stat().st_mtime_ns, default=None)
