"""What goes into and comes out of a book, as plain frozen values, and their checks.

Nothing here imports the database. The checks (`check_entry`, `check_kit`, ...) return a value as it
will be saved, or raise BadInput. Whether a name is taken is asked of `names.py` by the store, and
by every form beside its field.
"""
