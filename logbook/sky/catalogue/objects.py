"""The objects of the sky that ship with the program: deep-sky objects, bright stars, the Moon.

The tables lie in logbook/data with their licences (NOTICES.md) and are read once.
"""

import csv
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from logbook.errors import NotFound
from logbook.text import clean

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SkyObject:
    """One object. Position: ICRS, epoch 2000.0. What is not known is None, never NaN.

    `name` is the best one to show: the common name, else the designation.
    `surface_brightness_mag_arcsec2` is in B within the 25 mag isophote, for galaxies only.
    """

    id: str
    kind: str
    name: str
    constellation: str
    ra_deg: float
    dec_deg: float
    major_arcmin: float | None
    minor_arcmin: float | None
    position_angle_deg: float | None
    magnitude: float | None
    magnitude_band: str | None
    surface_brightness_mag_arcsec2: float | None
    aliases: tuple[str, ...]

    @property
    def designation(self) -> str:
        """What people write: the Messier number, a star's letter or number, else the id."""
        return _designation(self.id, self.kind, self.aliases)

    @property
    def title(self) -> str:
        """Name and number in one: "Andromeda Galaxy (M 31)", or the number alone."""
        named = self.name not in (self.id, self.designation)
        return f"{self.name} ({self.designation})" if named else self.designation


@dataclass(frozen=True)
class Catalogue:
    """Objects as columns of equal length. Positions: ICRS, epoch 2000.0. Unknown is NaN.

    Motions are in mas a year, that in right ascension times cos(declination); 0 for deep sky.
    """

    ids: tuple[str, ...]
    kinds: NDArray[np.str_]
    common_names: tuple[str, ...]
    constellations: tuple[str, ...]
    ra_deg: Floats
    dec_deg: Floats
    pm_ra_mas_yr: Floats
    pm_dec_mas_yr: Floats
    major_arcmin: Floats
    minor_arcmin: Floats
    position_angle_deg: Floats
    magnitude: Floats
    magnitude_bands: tuple[str, ...]
    surface_brightness_mag_arcsec2: Floats
    alias_texts: tuple[str, ...]

    def __len__(self) -> int:
        return len(self.ids)

    def __iter__(self) -> Iterator[SkyObject]:
        return (self.at(index) for index in range(len(self)))

    def at(self, index: int) -> SkyObject:
        """Return the object of one row as plain values."""
        aliases = self.aliases(index)
        identifier, kind = self.ids[index], str(self.kinds[index])
        return SkyObject(
            id=identifier,
            kind=kind,
            name=self.common_names[index] or _designation(identifier, kind, aliases),
            constellation=self.constellations[index],
            ra_deg=float(self.ra_deg[index]),
            dec_deg=float(self.dec_deg[index]),
            major_arcmin=_plain(self.major_arcmin[index]),
            minor_arcmin=_plain(self.minor_arcmin[index]),
            position_angle_deg=_plain(self.position_angle_deg[index]),
            magnitude=_plain(self.magnitude[index]),
            magnitude_band=self.magnitude_bands[index] or None,
            surface_brightness_mag_arcsec2=_plain(self.surface_brightness_mag_arcsec2[index]),
            aliases=aliases,
        )

    def aliases(self, index: int) -> tuple[str, ...]:
        """Return the other names and numbers of one row."""
        text = self.alias_texts[index]
        return tuple(text.split("|")) if text else ()

    def row(self, identifier: str) -> int | None:
        """Return the row of an id as the table writes it; None if it has none."""
        return self._index.get(identifier)

    def index_of(self, identifier: str) -> int:
        """The row of an id as the table writes it. Raises NotFound."""
        row = self.row(identifier)
        if row is None:
            raise NotFound(f"The catalogue has no object with the id {identifier!r}.")
        return row

    @cached_property
    def unit_icrs(self) -> Floats:
        """Directions as unit vectors, shape (N, 3): x to RA 0h, y to RA 6h, z to the north pole."""
        ra, dec = np.radians(self.ra_deg), np.radians(self.dec_deg)
        axes = (np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec))
        return np.stack(axes, axis=-1)

    @cached_property
    def _index(self) -> Mapping[str, int]:
        return {identifier: index for index, identifier in enumerate(self.ids)}


@dataclass(frozen=True, slots=True)
class MoonFeature:
    """A named feature of the Moon; selenographic degrees, east and north positive.

    Craters are good to some tenths of a degree; diameters are of an older edition of the
    gazetteer and up to a fifth larger than today's; centres of large features are loose.
    """

    name: str
    kind: str
    latitude_deg: float
    longitude_deg: float
    diameter_km: float | None


@cache
def deep_sky() -> Catalogue:
    """Return the deep-sky catalogue, read from the shipped table on the first call."""
    columns = _columns("dso.csv")
    count = len(columns["id"])
    return Catalogue(
        ids=_unique(columns["id"]),
        kinds=np.array(columns["kind"]),
        common_names=columns["name"],
        constellations=columns["constellation"],
        ra_deg=np.array(list(map(float, columns["ra_deg"]))),
        dec_deg=np.array(list(map(float, columns["dec_deg"]))),
        pm_ra_mas_yr=np.zeros(count),
        pm_dec_mas_yr=np.zeros(count),
        major_arcmin=_floats(columns["major_arcmin"]),
        minor_arcmin=_floats(columns["minor_arcmin"]),
        position_angle_deg=_floats(columns["position_angle_deg"]),
        magnitude=_floats(columns["magnitude"]),
        magnitude_bands=columns["band"],
        surface_brightness_mag_arcsec2=_floats(columns["surface_brightness"]),
        alias_texts=columns["aliases"],
    )


@cache
def bright_stars() -> Catalogue:
    """Return stars to V = 5 and fainter ones with a letter, a number or a name of their own.

    A motion that is not known (two close pairs) is given as 0.
    """
    columns = _columns("stars.csv")
    count = len(columns["hip"])
    unknown = np.full(count, np.nan)
    letters = zip(
        columns["bayer"],
        columns["flamsteed"],
        columns["constellation"],
        columns["hd"],
        strict=True,
    )
    return Catalogue(
        ids=_unique([f"HIP {number}" for number in columns["hip"]]),
        kinds=np.full(count, "star"),
        common_names=columns["name"],
        constellations=columns["constellation"],
        ra_deg=np.array(list(map(float, columns["ra_deg"]))),
        dec_deg=np.array(list(map(float, columns["dec_deg"]))),
        pm_ra_mas_yr=np.nan_to_num(_floats(columns["pm_ra_mas_yr"])),
        pm_dec_mas_yr=np.nan_to_num(_floats(columns["pm_dec_mas_yr"])),
        major_arcmin=unknown,
        minor_arcmin=unknown,
        position_angle_deg=unknown,
        magnitude=_floats(columns["magnitude"]),
        magnitude_bands=("V",) * count,
        surface_brightness_mag_arcsec2=unknown,
        alias_texts=tuple(_star_aliases(*parts) for parts in letters),
    )


@cache
def moon_features() -> tuple[MoonFeature, ...]:
    """Return the named features of the Moon that can be seen from the Earth, by name."""
    columns = _columns("moon.csv")
    return tuple(
        MoonFeature(name, kind, float(latitude), float(longitude), _number(diameter))
        for name, kind, latitude, longitude, diameter in zip(*columns.values(), strict=True)
    )


def _columns(file: str) -> dict[str, tuple[str, ...]]:
    """Return a shipped table as columns of cleaned text."""
    text = resources.files("logbook").joinpath("data", file).read_text(encoding="utf-8")
    header, *rows = csv.reader(map(_safe, text.splitlines()))
    return dict(zip(header, zip(*rows, strict=True), strict=True))


def _safe(line: str) -> str:
    """Clean a line only where it could need it: cleaning all of them costs 0.3 s."""
    return line if line.isascii() and line.isprintable() else clean(line)


def _unique(identifiers: Sequence[str]) -> tuple[str, ...]:
    if len(set(identifiers)) != len(identifiers):
        raise ValueError("a shipped table names an object twice")
    return tuple(identifiers)


def _floats(texts: Sequence[str]) -> Floats:
    """Numbers of a column; NaN for nothing. Each text is read once: most come again and again."""
    read = {text: float(text) if text else math.nan for text in set(texts)}
    return np.array([read[text] for text in texts])


def _number(text: str) -> float | None:
    return float(text) if text else None


def _plain(value: np.float64) -> float | None:
    return None if math.isnan(value) else float(value)


def _designation(identifier: str, kind: str, aliases: Sequence[str]) -> str:
    if kind == "star":
        return aliases[0] if aliases else identifier
    return next((alias for alias in aliases if _is_messier(alias)), identifier)


def _is_messier(name: str) -> bool:
    return name.startswith("M ") and name[2:].isdigit()


def _star_aliases(bayer: str, flamsteed: str, constellation: str, hd: str) -> str:
    aliases = [f"{letter} {constellation}" for letter in (bayer, flamsteed) if letter]
    return "|".join(aliases + ([f"HD {hd}"] if hd else []))
