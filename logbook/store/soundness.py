"""Whether a book is sound: the file, its guards, what its rows point at and what they say."""

import sqlite3
from contextlib import closing

from logbook.store.engine import Sessions
from logbook.store.file_check import damage
from logbook.store.soundness_rows import Finding, row_findings


def findings(sessions: Sessions) -> tuple[Finding, ...]:
    """Everything found wrong, damage first; empty for a sound book. Reads the whole file."""
    try:
        with closing(sessions.raw()) as connection:
            found = tuple(Finding(True, words) for words in damage(connection))
    except sqlite3.Error as error:
        found = (Finding(True, f"the file cannot be read whole: {error}"),)
    if found:
        return found  # what the rows say can't be trusted then
    with sessions.reading() as session:
        return row_findings(session, sessions.path.parent)
