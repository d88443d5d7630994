"""Nights and entries: only ever added; a correction supersedes, and triggers refuse the rest.

Drafts of half-typed lines are saved here too (`drafts.py`), and `changes.py` reads what came since
the last reading, whoever wrote it.
"""
