"""Whether a book is sound: the file, its guards, what its rows point at and what they say."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing

from logbook.store.engine import Sessions
from logbook.store.soundness_rows import Finding, row_findings

_ADD_ONLY = (
    "adjustment",
    "book",
    "entry",
    "frame_file",
    "frames",
    "part_revision",
    "part_value",
    "reading",
    "star_check",
    "star_look",
    "star_look_detail",
    "train_part",
    "train_revision",
    "turn",
    "unit",
    "unit_change",
    "upkeep",
)
_NEVER_DELETED = (
    "limit_set",
    "night",
    "part",
    "project",
    "screw",
    "site",
    "target",
    "train",
    "upkeep_rule",
)
# The triggers of a book that keep its rows, and the one that keeps the index of words.
GUARDS = (
    *(f"{table}_never_changed" for table in _ADD_ONLY),
    *(f"{table}_never_deleted" for table in (*_ADD_ONLY, *_NEVER_DELETED)),
    "night_only_ends",
    "entry_words_follow",
)


def findings(sessions: Sessions) -> tuple[Finding, ...]:
    """Everything found wrong, damage first; empty for a sound book. Reads the whole file."""
    try:
        with closing(sessions.raw()) as connection:
            damage = tuple(Finding(True, words) for words in _damage(connection))
    except sqlite3.Error as error:
        damage = (Finding(True, f"the file cannot be read whole: {error}"),)
    if damage:
        return damage  # what the rows say can't be trusted then
    with sessions.reading() as session:
        return row_findings(session, sessions.path.parent)


def _damage(connection: sqlite3.Connection) -> Iterator[str]:
    for row in connection.execute("PRAGMA integrity_check(5)"):
        if row[0] != "ok":
            yield f"the file: {row[0]}"
    for row in connection.execute("PRAGMA foreign_key_check").fetchmany(5):
        yield f"a row of {row[0]} (number {row[1]}) points at a {row[2]} that is missing"
    held = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
    for guard in GUARDS:
        if guard not in held:
            yield (
                f"the guard {guard} is missing, so rows might be changed or lost: export this book "
                "and import it as a new one"
            )
