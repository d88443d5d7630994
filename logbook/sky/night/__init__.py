"""A night at a site: clock, zone, Sun, Moon, darkness, horizon.

A minute is written by `clock.local_hhmm` (logged: the one that has begun) or `event_hhmm` (the sky:
the nearest one), a zone read by `zone_of`, or `zone_or_utc` of what is in a book. `earth.py`
switches downloads of Earth orientation off before anything converts a time.
"""
