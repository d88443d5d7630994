"""Night, catalogue, visibility and ranking at a site.

Only this package knows astropy and astroplan. Once a night: Earth orientation, one
precession-nutation matrix, unit vectors of all objects, Sun and Moon at nodes, crossings by
root-finding. Per question: two matrix products. astroplan gives the vocabulary (`observer.py`) and
the reference: the fast path is held equal to it in tests. Use a fresh `Observer` per question (its
cache confuses targets of one right ascension), pass the horizon -0.8333 deg for the Sun, and never
its `at_site` or `from_name`, which ask the network.
"""
