"""The app: `app_pages.py` draws (pages, strip, entry line, keys), `app.py` adds the book.

One key is done with before the next is looked at (`key_pump.py`), so that a burst does what the
same keys do slowly; what a key must wait for is work of the sheet or page in view. A line feed is
Enter. What Enter led to is never answered by Enter: the palette asks with y.
"""
