"""Looking back: the list of nights, searches, entries of finished nights.

The list of nights (`list.py`) has a row for every night of the book and reads what was done for
those in view. A finished night's entries are changed in `entries.py`, by the forms of the Night
page; what a line there is read against is a `store/night_context.py`.
"""
