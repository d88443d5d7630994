"""Taking back units.

`take_back.py` finds the last unit that stands, `revert.py` puts its rows back: entries and
revisions get one more row, what may change is set back, what was added is retired, and a row that
another program changed since is refused. A night whose start was taken back stays as a row and is
in no list (`timeline/night_sums.night_stands`).
"""
