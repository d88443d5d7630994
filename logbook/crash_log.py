"""When something unforeseen happens: keep the details in a file, say one line, end."""

import traceback
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from logbook.errors import LogbookError
from logbook.store.file import files


def write_crash_log(error: BaseException) -> Path | None:
    """Write what happened to a file of the log folder; None if even that fails."""
    now = datetime.now(UTC)
    import platformdirs

    try:
        folder = Path(platformdirs.user_log_path("observing-logbook", appauthor=False))
        folder.mkdir(parents=True, exist_ok=True)
        return _write_new(folder / f"crash-{now:%Y%m%dT%H%M%SZ}.txt", error)
    except OSError:
        return None


def _write_new(path: Path, error: BaseException) -> Path | None:
    """Write the first of the numbered files that is not there yet."""
    for numbered in files.numbered(path):
        with suppress(FileExistsError), open(files.create(numbered), "w", encoding="utf-8") as out:
            out.writelines(traceback.format_exception(error))
            return numbered
    return None


def failure_words(error: BaseException) -> str:
    """What went wrong; of what was not foreseen its kind, and where the details are."""
    if isinstance(error, LogbookError):
        return str(error)
    log = write_crash_log(error)
    return f"{type(error).__name__}.{f' Details: {log}' if log else ''}"


def crash_words(error: BaseException, log: Path | None) -> str:
    """One line for the user: what happened, what is safe, where the details are."""
    where = f" Details: {log}" if log else ""
    return (
        f"The program had to stop ({type(error).__name__}). "
        f"Everything shown as kept is in the book.{where}"
    )
