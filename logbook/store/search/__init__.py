"""Searching every word ever logged.

`search.py` asks the index of words (SQLite's FTS5), which a trigger on `entry` fills and which may
be deleted and rebuilt; `filters.py` narrows by sets of ids (`+rowid IN (...)`: without the plus
SQLite asks the index once for each entry, seconds instead of milliseconds). Scripts without spaces
are one token there, so their words are looked for by LIKE. Small tables beside the timeline are
read whole (`other_tables.py`). At most 500 lines are read and counted; a line corrected or
withdrawn since is found by its old words and marked as such.
"""
