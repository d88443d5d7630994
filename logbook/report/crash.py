"""When something unforeseen happens: keep the details in a file, say one line, end."""

import traceback
from datetime import UTC, datetime
from pathlib import Path


def write_crash_log(error: BaseException) -> Path | None:
    """Write what happened to a file of the log folder; None if even that fails."""
    now = datetime.now(UTC)
    import platformdirs

    try:
        folder = Path(platformdirs.user_log_path("observing-logbook", appauthor=False))
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"crash-{now:%Y%m%dT%H%M%SZ}.txt"
        path.write_text("".join(traceback.format_exception(error)), encoding="utf-8")
    except OSError:
        return None
    return path


def crash_words(error: BaseException, log: Path | None) -> str:
    """One line for the owner: what happened, what is safe, where the details are."""
    where = f" Details: {log}" if log else ""
    return (
        f"The program had to stop ({type(error).__name__}). "
        f"Everything shown as kept is in the book.{where}"
    )
