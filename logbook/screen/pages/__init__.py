"""The pages, a package each; `app/page_classes.py` makes one when it is first turned to.

A page holds one state (`held`) and a table of keys (its `keys.py`): functions on that state, with
what each key is called in the bindings, the help, the palette and the page's own line of keys, and
what is asked before it writes.
"""
