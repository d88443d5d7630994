"""Where an object is through a night or a year, the Moon's light, and when it can be observed.

`year_nights.py` computes a year of nights at once and `year.py` an object in it; what moves goes
through `ephemeris.py`; `track.py` is computed once and read off between its instants.
"""
