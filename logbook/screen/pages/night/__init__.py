"""The night in progress.

`now.py` says what runs and what comes next; the Night page and the big display draw from it. Where
the object stands is a `sky/altitude/track.py`: computed once in a worker, then read off every few
seconds. `reminding.py` makes the one list of reminders from the desk; each has an *occasion*, so
that one dismissed stays away and the next of its kind comes. After each entry only what is new is
read (`store/timeline/changes.py`), whoever wrote it.
"""
