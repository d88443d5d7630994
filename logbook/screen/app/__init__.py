"""The app: `app.py` hands messages and keys to its parts, which `parts.py` puts together.

One key is done with before the next is looked at (`key_pump.py`), so that a burst does what the
same keys do slowly; what a key must wait for is work of the sheet or page in view. A line feed is
Enter. What Enter led to is never answered by Enter: the palette asks with y.
"""
