"""Sites, parts, trains and screws, a row for each revision.

Changing a part makes a new revision of every train that holds it; a night names the revision that
it used. Entries and nights point at parts, trains and sites by id and are shown under today's
names; what was typed stays. `store/tables/former_names.py` knows what was called how until when
(parts from their revisions), for search, for the entry line and for filters, whose names frames
hold as text: one means the filter that bore it when the entry was written.
"""
