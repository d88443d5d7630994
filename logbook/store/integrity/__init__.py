"""`logbook check`: the file and its guards, every cell, and what rows hold that cannot be.

`cells.py` is asked too when a command fails for no known reason.
"""
