"""The pages, a package each; `app/page_classes.py` makes one when it is first turned to."""
