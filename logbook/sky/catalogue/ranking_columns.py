"""A catalogue made ready for ranking: what does not change from night to night."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import cache

import numpy as np
from numpy.typing import NDArray

from logbook.sky.catalogue.constellations import constellation_names
from logbook.sky.catalogue.kinds import KINDS
from logbook.sky.catalogue.objects import Catalogue
from logbook.sky.night.arrays import Bools, Floats

# Total magnitude in V against worth; galaxies given in B are about 0.8 brighter in V (from memory).
_MAGNITUDES = np.array([6.0, 9.0, 11.0, 13.0, 15.0, 17.0])
_BRIGHTNESS = np.array([1.0, 0.95, 0.75, 0.40, 0.12, 0.03])
_B_LESS_V = 0.8

# What to think of an object whose magnitude nobody gives, by kind: nebulae seldom have one.
_UNKNOWN_BRIGHTNESS = {
    "HII region": 0.65,
    "bright nebula": 0.6,
    "cluster with nebula": 0.65,
    "reflection nebula": 0.45,
    "supernova remnant": 0.5,
    "dark nebula": 0.25,
    "planetary nebula": 0.25,
    "open cluster": 0.3,
    "globular cluster": 0.3,
    "galaxy": 0.1,
    "galaxy group": 0.15,
}
_UNKNOWN_KIND = 0.2

# Stars of clusters stand out of a bright sky as points do, whatever the mean over the cluster is.
_STELLAR = ("open cluster", "globular cluster", "association", "asterism", "double star", "star")
_STELLAR_MAG_ARCSEC2 = 18.5
_NEBULA_MAG_ARCSEC2 = 22.0  # without a magnitude or a size: faint
_ARCSEC2_PER_ARCMIN2 = 3600.0

# Kinds that catalogues give to one and the same object. Common practice, no source.
_FAMILIES = {
    "galaxy group": "galaxy",
    "cluster with nebula": "open cluster",
    "HII region": "bright nebula",
    "reflection nebula": "bright nebula",
}
_MESSIER = re.compile(r"\|M \d+\|")


class Renown(IntEnum):
    """How well known an object is: others found it worth a look."""

    OTHER = 0
    NUMBERED = 1
    NAMED = 2
    MESSIER = 3


_RENOWN_APPEAL = np.array([0.45, 0.60, 0.90, 1.0])
# Sparse stars please less than nebulae, galaxies and globulars. Taste, no source.
_KIND_APPEAL = {
    "globular cluster": 0.92,
    "open cluster": 0.75,
    "dark nebula": 0.80,
    "star cloud": 0.60,
    "association": 0.50,
    "asterism": 0.50,
    "double star": 0.40,
    "star": 0.30,
}
# Mean surface brightness (V) of a galaxy against worth: large and thin ones hardly show.
_SURFACES = np.array([21.5, 23.0, 24.5, 26.0])
_SURFACE_WORTH = np.array([1.0, 0.80, 0.45, 0.12])


@dataclass(frozen=True)
class Targets:
    """A catalogue and what ranking needs of it, one value an object.

    families -- alike for kinds that may be one object under two numbers.
    magnitude -- roughly in V; NaN unknown.
    brightness, appeal -- factors of the score, 0 to 1.
    renown -- values of `Renown`.
    surface_mag_arcsec2 -- mean over the object, for weighing it against moonlight: guessed where
        it is not known.
    true_surface_mag_arcsec2 -- the same, NaN where it is not known or stars stand out one by one.
    """

    catalogue: Catalogue
    kind_codes: NDArray[np.intp]
    families: NDArray[np.intp]
    constellation_codes: NDArray[np.intp]
    magnitude: Floats
    brightness: Floats
    appeal: Floats
    renown: NDArray[np.intp]
    surface_mag_arcsec2: Floats
    true_surface_mag_arcsec2: Floats

    def of_kinds(self, kinds: Sequence[str]) -> Bools:
        """Which objects are of these kinds."""
        return np.isin(self.kind_codes, [KINDS.index(kind) for kind in kinds])

    def within(self, constellations: Sequence[str]) -> Bools:
        """Which objects lie in these constellations."""
        codes = _constellation_codes()
        return np.isin(self.constellation_codes, [codes[each] for each in constellations])


@cache
def _constellation_codes() -> dict[str, int]:
    return {short: code for code, short in enumerate(constellation_names())}


_kept: list[Targets] = []


def targets_of(catalogue: Catalogue) -> Targets:
    """The columns of a catalogue. The last one asked for stays cached."""
    for ready in tuple(_kept):
        if ready.catalogue is catalogue:
            return ready
    made = _ready(catalogue)
    _kept[:] = [made]
    return made


def _ready(catalogue: Catalogue) -> Targets:
    kinds = catalogue.kinds
    codes = {kind: code for code, kind in enumerate(KINDS)}
    kind_codes = np.array([codes[kind] for kind in kinds.tolist()], dtype=np.intp)
    where = _constellation_codes()
    blue = (np.array(catalogue.magnitude_bands) == "B") & (kinds == "galaxy")
    magnitude = catalogue.magnitude - np.where(blue, _B_LESS_V, 0.0)
    spread = _spread_mag(catalogue, magnitude)
    stellar = np.isin(kinds, _STELLAR)
    surface = np.where(np.isnan(spread), _NEBULA_MAG_ARCSEC2, spread)
    surface = np.where(stellar, _STELLAR_MAG_ARCSEC2, surface)
    names = zip(catalogue.ids, catalogue.common_names, catalogue.alias_texts, strict=True)
    renown = np.array([_renown(*each) for each in names], dtype=np.intp)
    liking = np.array([_KIND_APPEAL.get(kind, 1.0) for kind in KINDS])[kind_codes]
    return Targets(
        catalogue=catalogue,
        kind_codes=kind_codes,
        families=np.array([KINDS.index(_FAMILIES.get(kind, kind)) for kind in KINDS])[kind_codes],
        constellation_codes=np.array([where.get(each, -1) for each in catalogue.constellations]),
        magnitude=magnitude,
        brightness=_brightness(magnitude, surface, kind_codes),
        appeal=_RENOWN_APPEAL[renown] * liking,
        renown=renown,
        surface_mag_arcsec2=surface,
        true_surface_mag_arcsec2=np.where(stellar, np.nan, spread),
    )


def _brightness(magnitude: Floats, surface: Floats, kind_codes: NDArray[np.intp]) -> Floats:
    """By total magnitude, for galaxies by surface brightness too; by kind where unknown."""
    by_kind = np.array([_UNKNOWN_BRIGHTNESS.get(kind, _UNKNOWN_KIND) for kind in KINDS])
    known = np.interp(magnitude, _MAGNITUDES, _BRIGHTNESS)
    galaxy = kind_codes == KINDS.index("galaxy")
    thin = np.where(galaxy, np.interp(surface, _SURFACES, _SURFACE_WORTH), 1.0)
    return np.where(np.isnan(magnitude), by_kind[kind_codes], known * thin)


def _spread_mag(catalogue: Catalogue, magnitude: Floats) -> Floats:
    """Magnitude an arcsec² when it is spread over the ellipse; NaN where anything is unknown."""
    major, minor = catalogue.major_arcmin, catalogue.minor_arcmin
    area = np.pi / 4.0 * major * np.where(np.isnan(minor), major, minor) * _ARCSEC2_PER_ARCMIN2
    return np.asarray(magnitude + 2.5 * np.log10(np.maximum(area, 1.0)))


def _renown(identifier: str, common_name: str, aliases: str) -> Renown:
    if _MESSIER.search(f"|{identifier}|{aliases}|"):
        return Renown.MESSIER
    if common_name:
        return Renown.NAMED
    return Renown.NUMBERED if identifier.startswith(("NGC", "IC")) else Renown.OTHER
