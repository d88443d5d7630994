"""The Kit page: trains, parts and the bench.

A train is changed and tried on the bench (`bench.py`): a draft is a plain `Train`, each key makes
the next one, and the book is asked only when the draft is saved. Values that were only tried are
never saved as measured; a train with them is saved as a new one, and its parts go on the wish list.
"""
