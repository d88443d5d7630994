"""Whether a book is sound: its file, guards and cells, what rows point at and what they say."""

import sqlite3
from contextlib import closing

from logbook.store.file.integrity import damage
from logbook.store.file.schema import schema_faults
from logbook.store.integrity.cells import unreadable_cells
from logbook.store.integrity.rows import Finding, row_findings
from logbook.store.session.sessions import Sessions


def findings(sessions: Sessions) -> tuple[Finding, ...]:
    """Everything found wrong, damage first; empty for a sound book. Reads the whole file."""
    try:
        with closing(sessions.raw()) as connection:
            found = tuple(Finding(True, words) for words in damage(connection))
            found = found or tuple(Finding(True, words) for words in schema_faults(connection))
            found = found or tuple(Finding(True, words) for words in unreadable_cells(connection))
    except (sqlite3.Error, UnicodeDecodeError) as error:
        found = (Finding(True, f"the file cannot be read whole: {error}"),)
    if found:
        return found  # what the rows say can't be trusted then
    with sessions.reading() as session:
        return row_findings(session, sessions.path.parent)
