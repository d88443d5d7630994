"""How property tests draw: the same examples every time, or anew where that is asked for."""

import os

from hypothesis import settings

# A shared machine may be slow at any moment, so that no example has a deadline.
settings.register_profile("fixed", derandomize=True, deadline=None)
settings.register_profile("long", derandomize=False, deadline=None, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "fixed"))
