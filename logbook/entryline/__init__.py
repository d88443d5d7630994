"""The grammar of the entry line: one line, typed in the dark, says what happened.

All of it is pure functions. `understand.understand` reads the time, looks up the first word in its
table of readers and calls one; each reader stands in a module of its own (`readings`, `frames`,
`screw_turn`, ...) and turns a `Line` into a `Parsed`. A reader raises `Unclear` for a line that
begins like its own and cannot be read to the end, and `NotThis` for plain talk, which becomes a
note. `format.spell` writes an entry in words (`format.total_words` a length of time that was summed
up), `upkeep` writes the line that a form comes to, `guess` reads lines that begin with a name,
`completion` is asked by Tab.

What a line is read against (screws, trains, what runs, the zone) is a `context.Surroundings`;
`context_of_book` makes one of a snapshot of the book. A line that waits to be saved bears the
instant at which Enter was first pressed on it (`waiting_line`), however often it comes back.

The grammar for users is `logbook/guide/entry-line.md`; `tests/entryline/test_table.py` is that
table at full length.
"""
