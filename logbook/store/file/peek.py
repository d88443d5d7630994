"""A glance into a book before anything heavy is imported: what the first frame has to know."""

import sqlite3
from contextlib import closing
from pathlib import Path

from logbook.store.file.sqlite import connect


def peek_choice(path: Path, name: str) -> str | None:
    """What was last chosen under `name`; None if there is no book or it cannot be read yet."""
    if not path.is_file():
        return None
    try:
        with closing(connect(path, reads=True)) as book:
            row = book.execute("SELECT value FROM choice WHERE name = ?", (name,)).fetchone()
    except sqlite3.Error:
        return None
    return None if row is None else str(row[0])
