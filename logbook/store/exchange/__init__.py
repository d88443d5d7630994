"""Writing a book out: every table as CSV and JSON, and the frames as ECSV.

A table that a model describes is exported by itself. `descriptions.py` describes an export for a
stranger; a test asks a meaning, a unit or a target of every column. `store/import_book.py` takes
all of an export or makes no book: an export of this revision must have every table, column and as
many rows as it states.

Observations are not exchanged in a third form: of the published ones we know none that covers a
whole night, is no program's own and can be checked here against its schema, so the described
export, ECSV and JSON stand for it.
"""
