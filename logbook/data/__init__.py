"""The shipped tables, their licences (NOTICES.md) and the script that builds them.

`build.py` makes the tables from pinned packages listed with their checksums in `sources.toml`;
`manifest.toml` records what came out. Corrections by hand, each with its source, are in
`corrections.csv` and `doubles_by_hand.csv` and always win. Same sources, same bytes.
"""
