"""The file of a book: its state, copies, migration, and putting one file in the place of another.

`backups.py` makes checked copies and goes back to one; `swap.py` puts one file in a book's place,
its logs moved away first; `files.py` makes every new file (exclusively, moved into place whole);
`integrity.py` checks whether a file is sound: a restore, a copy and `logbook check` all ask it. A
window is alive as long as its lock is held (`window.py`); only what a dead one left is taken over.

Only ever add tables and columns: Alembic's batch mode drops triggers and, with foreign keys on,
deletes children. Name every constraint, use `sa.Double` for floats, guard SQLite-only statements by
dialect (the models also fit PostgreSQL). Tests compare the migrated book with the models and with
the list of triggers (`tests/store/file/test_migrate.py`). An editable install reads `migrations/`
from the checkout, a wheel from beside the package; `migrate.py` looks beside the package first.
"""
