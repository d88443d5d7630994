"""What the parts of a train do together: light, lengths, balance, focus, joints, changes.

`light.py`, `lengths.py`, `openings.py`, `focus.py` and `focus_reach.py` find the numbers of the
formulas in a train; `light_of` is what an aperture, a scale or a field is asked of. `sheet.py` puts
all of it together, `rows.py` turns a sheet into rows that the page and `logbook train` both show,
and two sheets into pairs. `whatif.py` makes changed trains and saves nothing.

`ring_sets.py` looks at every set of rings by halving them and joining sorted sums. Sets that screw
together are those whose rings make one path through the thread sizes that uses each ring once.
"""
