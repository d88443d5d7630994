"""What pages and dialogs ask of the rest: the book's snapshot, jobs, drafts, the sky, clocks.

`services.py` has the desk, which every page is given. Nothing here draws.
"""
