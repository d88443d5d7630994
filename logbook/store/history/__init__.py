"""What is counted and learned over many nights, in SQL.

What is counted night by night over the whole book is cached (`night_cache.py`); after that only
nights that got entries are counted again, whoever wrote them. `x.concat("")` in a condition stops
SQLite from using an index that would go through twenty years of readings.

`learned.py` reads what stands and caches the tube's constant until an entry is added; it imports
numpy, so ask in a worker. `collimation.py` looks back over star tests and turns; `disturbances.py`
lists what transport, upkeep and adjustments unsettle. Frames belong to the object that they name,
else to the one that ran (`records/runs.py`, `objects_parts_trains.unnamed_frames`).
"""
