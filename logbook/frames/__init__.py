"""Frames from disk: headers, runs, folders. Files are opened for reading only, and closed at once.

`fits_header` reads the header of a file's first picture within bounds, `header` makes a `Frame` of
it, `runs` puts frames into runs, `folder_watch` finds and watches files, `ecsv` writes the table. A
frame is known by its exposure (start, length, type, filter, camera, size), not by its file. Which
night and object it belongs to is the store's to find (`logbook.store.frames`).
"""
