"""Reads the published tables beside these tests, and a few sites to stand at."""

import csv
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from skyfield.api import load, load_file

from logbook.sky.night.site import Site

_FOLDER = Path(__file__).parent / "data"

WALES = Site("Wales", 52.1, -3.7, 200.0, "Europe/London")
TROMS = Site("Troms", 69.0, 19.0, 50.0, "Europe/Oslo")
EQUATOR = Site("Equator", 0.0, 37.0, 1600.0, "Africa/Nairobi")
CAPE = Site("Cape", -34.0, 18.4, 300.0, "Africa/Johannesburg")
DATE_LINE = Site("Date line", -17.0, 180.0, 10.0, "Pacific/Fiji")
SITES = (WALES, TROMS, EQUATOR, CAPE, DATE_LINE)


def rows(file: str) -> list[dict[str, str]]:
    """The rows of a table; lines of # say where it is from."""
    text = (_FOLDER / file).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in text if not line.startswith("#")))


def events(file: str, event: str) -> list[datetime]:
    """The instants of one kind of event in a table of `utc,event`, in order."""
    return [instant(row["utc"]) for row in rows(file) if row["event"] == event]


def instant(text: str) -> datetime:
    """`2007-01-01T12:43Z` as an aware instant."""
    return datetime.strptime(text, "%Y-%m-%dT%H:%MZ").replace(tzinfo=UTC)


@cache
def jpl() -> tuple[Any, Any]:
    """Skyfield's time scale and JPL's ephemeris DE421, from the installed package."""
    return load.timescale(builtin=True), load_file(str(files("skyfield_data") / "data/de421.bsp"))
