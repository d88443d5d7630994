"""The book: one SQLite file, its tables, and everything that may be done with it.

`opening.py` looks at a file with sqlite3 alone (`application_id`, revision): current, it is opened;
older, it is locked, backed up, checked, migrated in one transaction and checked again; newer,
foreign or damaged, it is refused with words and left untouched. A new book is made only when asked
for. `book.py` is an open book, by topic (`book.kit`, `book.nights`, `book.past`, ...).

What writes goes through the book's one writer thread (`writer.py`), inside a unit
(`logbook.store.session`). Acknowledged means on disk: WAL, `synchronous=FULL`. Inserts past a flush
are noted in the unit by hand (`timeline/insert.py`), because a flush costs several times as much;
what every line asks stands in SQL of its own (`tables/plain_sql.py`).

`save_line.py` is the one way in which an understood line is saved. `night_context.py` is what a
line of a finished night is read against: that night's clock, kit and timeline at the time that the
line names; a time before that night began or after it ended is asked about. `screw_advice.py`
(`advice_for`) reads the newest 120 looks and turns of a book for the adviser. The same turn of the
same screw within 1.5 s is refused (`timeline.BOUNCE`): a key that bounces in gloves must not count
twice.
"""
