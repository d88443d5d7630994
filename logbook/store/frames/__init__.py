"""Frames from disk into nights.

`plan.py` finds what would be added (night by the site's noon, object by name or position, what
disagrees with the train); `add.py` adds a run in one transaction. A frame counts while the version
of the entry that stands holds it, so undo and withdrawal let it in again. A run that grows corrects
its entry; what the user mended in it stays.
"""
