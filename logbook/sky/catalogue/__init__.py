"""The shipped tables as objects: names, kinds, positions, and the columns that ranking needs."""
