"""Whether the file of a book is sound: its pages, its guards, and what its rows point at.

Only the standard library is imported, so that a copy can be checked without opening it as a book.
"""

import sqlite3
from collections.abc import Iterator

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
# The triggers of a book that keep its rows, each with the table it needs; the last one keeps the
# index of words.
GUARDED = {
    **{f"{table}_never_changed": table for table in _ADD_ONLY},
    **{f"{table}_never_deleted": table for table in (*_ADD_ONLY, *_NEVER_DELETED)},
    "night_only_ends": "night",
    "entry_words_follow": "entry_words",
}
# What the body of a guard must hold.
_REFUSES = "RAISE(ABORT"
_DOES = {"entry_words_follow": "INSERT INTO ENTRY_WORDS"}


def damage(connection: sqlite3.Connection) -> Iterator[str]:
    """What is wrong with a file, in words; nothing for a sound one. Reads the whole file.

    An older book is asked only for the guards of the tables that it has. Raises sqlite3.Error.
    """
    try:
        yield from _in_the_file(connection)
    except UnicodeDecodeError as error:  # SQLite quotes what it cannot read as it is
        yield f"the file: it cannot be read whole ({error})"


def _in_the_file(connection: sqlite3.Connection) -> Iterator[str]:
    for row in connection.execute("PRAGMA integrity_check(5)"):
        if row[0] != "ok":
            yield f"the file: {row[0]}"
    for row in connection.execute("PRAGMA foreign_key_check").fetchmany(5):
        yield f"a row of {row[0]} (number {row[1]}) points at a {row[2]} that is missing"
    held = dict(connection.execute("SELECT name, sql FROM sqlite_master"))
    for guard, table in GUARDED.items():
        if table in held and _DOES.get(guard, _REFUSES) not in str(held.get(guard)).upper():
            yield (
                f"the guard {guard} is {'empty' if guard in held else 'missing'}, so rows might be "
                "changed or lost: export this book and import it as a new one"
            )
