"""Choosing for a night: the list, its limits and the running order.

`list.py` fills the list, `keys.py` has what keys do to it, a module of its own each sheet. A sheet
is a `LiveSheet` (`screen/dialogs/live_sheet.py`): it names what is computed in a worker thread and
how that is drawn, and is computed anew when the book changed under it. Limits are one typed line
(`sky/limits/limits_parser.py`); every key ranks the night that is there again (15 ms), in a worker
that the next key cancels. Whatever is planned is a new running order in the book at every change;
hours that the user set stand in an item's note. What the book holds of an object is counted over
all entries once (0.2 s for 20 years) and cached until an entry is added: ask for it in a worker.
"""
