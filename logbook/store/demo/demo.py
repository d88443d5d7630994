"""The demo season: an invented one, built into a book from readable text.

It takes some seconds to build, so it is saved in the user's cache and copied for each demo.
"""

import hashlib
import os
import shutil
import tempfile
from pathlib import Path

import platformdirs

import logbook
from logbook.errors import BadInput, NotWritten
from logbook.store.file import files

FILE_NAME = "demo season"


def sample_folder() -> Path:
    """Where the season is written down."""
    return _shipped("sample_db")


def _shipped(name: str) -> Path:
    """Beside the installed package, else at the top of the checkout."""
    package = Path(logbook.__file__).parent
    installed = package / name
    return installed if installed.is_dir() else package.parent / name


def build_demo(path: Path) -> None:
    """Make the demo season's book at `path`. Raises BookRefused if anything lies there."""
    from logbook.store.demo.build import build

    build(sample_folder(), path)


def fresh_demo(folder: Path) -> Path:
    """A new copy of the demo season in `folder`; what was there before is left alone.

    The season is built once and stays in the user's cache until its text or the program changes.
    """
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{FILE_NAME}.db"
    with files.temporary_beside(path) as part:
        shutil.copyfile(_built(folder), part)
        try:
            return files.move_into_free_place(part, files.numbered(path))
        except files.NameTaken as error:
            raise BadInput(f"There are too many demo books in {folder}: remove some.") from error


def _built(folder: Path) -> Path:
    """The season as last built, or built now; in `folder` if there is no cache to write in."""
    name = f"demo {_digest()[:16]}.db"
    cache = Path(platformdirs.user_cache_path("observing-logbook", appauthor=False))
    kept = cache / name
    if kept.is_file():
        return kept
    try:
        cache.mkdir(parents=True, exist_ok=True)
        built = _build_at(kept)
    except (OSError, NotWritten):
        return _build_at(folder / f".{name}")
    for older in cache.glob("demo *.db"):
        if older != built:
            older.unlink(missing_ok=True)
    return built


def _build_at(path: Path) -> Path:
    """Build beside and move into place whole, so that a kill leaves no half-made season."""
    with tempfile.TemporaryDirectory(prefix=".building-", dir=path.parent) as folder:
        part = Path(folder) / path.name
        build_demo(part)
        for log in files.logs_of(path):  # of a season that was removed: never to be played into it
            log.unlink()
        os.replace(part, path)
    return path


def _digest() -> str:
    """Changes with the text, with the tables, and with the program that reads them."""
    digest = hashlib.sha256()
    package = Path(logbook.__file__).parent
    folders = (sample_folder(), package / "store", package / "data", _shipped("migrations"))
    for folder in folders:
        for path in sorted(folder.rglob("*")):
            if path.suffix in (".py", ".toml", ".txt"):
                digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()
