"""The names of the constellations."""

import csv
from functools import cache
from importlib import resources

from logbook.text import fold


@cache
def constellation_names() -> dict[str, str]:
    """Names by abbreviation, as the catalogue writes it: "Cyg" -> "Cygnus"."""
    text = resources.files("logbook").joinpath("data", "constellations.csv").read_text("utf-8")
    return {row["abbreviation"]: row["name"] for row in csv.DictReader(text.splitlines())}


@cache
def constellation_words() -> dict[str, str]:
    """What may be written for one, folded, and its abbreviation."""
    names = constellation_names()
    return {fold(word): short for short, name in names.items() for word in (short, name)}
