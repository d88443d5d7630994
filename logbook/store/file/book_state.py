"""Where the book lies and what state it is in.

A look needs sqlite3 alone (0.2 ms), so that it can come before the first frame.
"""

import os
import sqlite3
import stat
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import Enum
from pathlib import Path

from logbook.store.file import files, sqlite
from logbook.store.file.readable_copy import ReadablePlace

APPLICATION_ID = 0x6E496768  # in the file's header, so that another program's file is recognised
HEAD = "0005"  # the newest revision in migrations/; a test holds the two together
BOOK_VARIABLE = "LOGBOOK_BOOK"

STAMP = "%Y-%m-%dT%H%M%SZ"  # in the names of copies

_MAGIC = b"SQLite format 3\0"
_HEADER_BYTES = 100
_APPLICATION_ID_AT = slice(68, 72)  # Source: sqlite.org/fileformat2.html, 1.3
_READ_REVISION = "SELECT version_num FROM alembic_version"


def now_utc() -> datetime:
    return datetime.now(UTC)


def unsaid(_words: str) -> None:
    """For callers that have nobody to say it to."""


class Condition(Enum):
    """What a look at a path found."""

    MISSING = "missing"
    CURRENT = "current"
    OLDER = "older"
    NEWER = "newer"
    FOREIGN = "foreign"
    DAMAGED = "damaged"


@dataclass(frozen=True, slots=True)
class BookState:
    """What a look found; `words` says what to do, and is empty for a book that opens."""

    path: Path
    condition: Condition
    revision: str = ""
    words: str = ""

    @property
    def opens(self) -> bool:
        return self.condition in (Condition.CURRENT, Condition.OLDER)


def default_book_path() -> Path:
    """Where the book lies if nobody says otherwise."""
    import platformdirs

    return Path(platformdirs.user_data_path("observing-logbook", appauthor=False)) / "logbook.db"


def chosen_book_path(option: str | None = None) -> Path:
    """The path given as an option, else that in LOGBOOK_BOOK, else the default."""
    chosen = option or os.environ.get(BOOK_VARIABLE)
    return Path(chosen).expanduser().absolute() if chosen else default_book_path()


def copies_folder(path: Path) -> Path:
    """Where checked copies of the book at `path` lie."""
    return path.with_name(f"{path.stem} copies")


def aside_name(path: Path, folder: Path, now: datetime) -> Path:
    """What the book at `path` is called once another took its place, in the folder of copies."""
    # Not named .db: it may be a damaged one, and is no sound copy to offer by itself.
    return folder / f"{path.stem} replaced {now.strftime(STAMP)}.old"


def last_sound_copy(path: Path) -> Path | None:
    """The newest copy of the book at `path`. Every copy was checked when it was made."""
    copies = copies_folder(path).glob("*.db")
    return max(copies, key=lambda each: each.stat().st_mtime, default=None)


def look(path: Path) -> BookState:
    """What lies at `path`. Nothing is made, changed or brought up to date; raises nothing."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # opening a pipe would wait for its other end
            words = (
                f"{path} cannot be read as a book: it is no ordinary file. It was left as it is."
            )
            return BookState(path, Condition.FOREIGN, words=words)
        with path.open("rb") as opened:
            header = opened.read(_HEADER_BYTES)
    except FileNotFoundError:
        return BookState(path, Condition.MISSING, words=missing_words(path))
    except OSError as error:
        words = f"{path} cannot be read ({error.strerror}). It was left as it is."
        return BookState(path, Condition.FOREIGN, words=words)
    if not header.startswith(_MAGIC):
        words = f"{path} is not a book of this program, or its beginning is lost. {_left(path)}"
        return BookState(path, Condition.FOREIGN, words=words)
    if int.from_bytes(header[_APPLICATION_ID_AT], "big") != APPLICATION_ID:
        words = f"{path} is another program's database. It was left as it is."
        return BookState(path, Condition.FOREIGN, words=words)
    return _look_at_revision(path)


def missing_words(path: Path) -> str:
    if path.is_symlink():
        return (
            f"{path} stands for {files.real_path(path)}, where there is nothing: put the stick or "
            "the folder back."
        )
    if last_sound_copy(path) is None:
        return f"There is no book at {path}. Start the program without a command to make one."
    return f"There is no book at {path}.{_way_back(path)}"


def _left(path: Path) -> str:
    """That a file was left alone, and where the last sound copy of a lost book is."""
    return f"It was left as it is.{_way_back(path)}"


def _way_back(path: Path) -> str:
    copy = last_sound_copy(path)
    if copy is None:
        return ""
    day = datetime.fromtimestamp(copy.stat().st_mtime, UTC).date()
    return f' The last sound copy is of {day}: `logbook restore "{copy}"` puts it back.'


def _look_at_revision(path: Path) -> BookState:
    try:
        with ReadablePlace.left_alone(path) as place, closing(place.connect()) as connection:
            row = connection.execute(_READ_REVISION).fetchone()
    except (sqlite3.Error, UnicodeDecodeError) as error:
        return _state_after(error, path)
    except OSError as error:
        words = f"{path} cannot be read whole ({error.strerror}). It was left as it is."
        return BookState(path, Condition.FOREIGN, words=words)
    if row is None:
        return BookState(path, Condition.DAMAGED, words=damaged_words(path, "no revision in it"))
    revision = str(row[0])
    if revision > HEAD:
        words = (
            f"The book at {path} was written by a newer program (revision {revision}; this one "
            f"knows {HEAD}). It was left as it is: open it with the newer program."
        )
        return BookState(path, Condition.NEWER, revision, words)
    return BookState(path, Condition.CURRENT if revision == HEAD else Condition.OLDER, revision)


def _state_after(error: sqlite3.Error | UnicodeDecodeError, path: Path) -> BookState:
    """Neither a busy book is damaged (opening it will wait, and say so) nor one on a full disk."""
    if isinstance(error, UnicodeDecodeError):
        return BookState(path, Condition.DAMAGED, words=damaged_words(path, "it cannot be read"))
    if sqlite.is_busy(error):
        return BookState(path, Condition.CURRENT, HEAD, str(sqlite.in_words(error, path)))
    if sqlite.is_lack_of_room(error):
        words = (
            f"{path} cannot be read now ({error}): its disk may be full. It was left as it is: "
            "free some space there and try again."
        )
        return BookState(path, Condition.FOREIGN, words=words)
    return BookState(path, Condition.DAMAGED, words=damaged_words(path, str(error)))


def damaged_words(path: Path, what: str) -> str:
    """That a book is damaged, and where its last sound copy is."""
    return f"The book at {path} is damaged ({what}). {_left(path)}"
