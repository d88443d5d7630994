"""Books to test with, and how property tests draw: the same examples every time, or anew."""

import os

from hypothesis import settings

pytest_plugins = ["tests.books"]

# A shared machine may be slow at any moment, so that no example has a deadline.
settings.register_profile("fixed", derandomize=True, deadline=None)
settings.register_profile("long", derandomize=False, deadline=None, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fixed"))
