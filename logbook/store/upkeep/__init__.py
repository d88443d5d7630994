"""Rules for upkeep, and what is due.

A rule is changed by retiring it for a new one that counts from the same day. Work is known by the
beginnings of its words (`records/upkeep_match.py`). What was done is an entry like any other: in
the night in progress if it happened in it, else by day, in none. A photo is a path saved as text,
looked for and never opened.
"""
