"""What pages and dialogs are made of: the page and modal classes, keys, the entry bar, drawings.

Keys of the app are in `keys.py`, those of a page in a table of its own (`page_keys.py`); bare
letters act only where no text field has the cursor. What lies over a page is a `Modal`
(`modal.py`), which closes once. A letter that writes is asked about (`question_before` of a page or
`Modal`); one that a page has no use for goes to the line. Letters that follow each other at once
(`typed_run.py`) turn out to be a line where one means nothing or they make its first word: what the
first one opened then gives way, and the line has them all.

The red view is a filter over every line (`red.py`). `picture_view.py` draws pictures in half blocks
and bypasses the filter, being red itself.
"""
