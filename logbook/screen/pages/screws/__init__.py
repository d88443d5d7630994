"""The Screws page: star tests, turns and the next step.

The page holds one state (`state.py`): the turn in hand (`hand.py`, a plain value), the folder
watcher (`watching.py`) and the advice (`advising.py`). `shown.py` draws it, `keys.py` has one table
of keys whose functions act on it, `sheets.py` opens what lies over the page.

The advice is computed in a worker once for each reading of the book; Enter asks whether the turn
was made, only of one that is advised for this reading or that the user prepared, never of what an
earlier advice left in hand, and takes no answer within 1.5 s. A folder is looked at once a second
by a short worker; files are read when their size stands still, and never held open.
"""
