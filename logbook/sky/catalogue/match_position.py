"""The catalogued object that a frame shows, from where it points."""

from dataclasses import dataclass
from functools import cache

import numpy as np

from logbook.sky.catalogue.objects import Floats, SkyObject, deep_sky

_OWN_SIZE_COUNTS_ARCMIN = 1.0


@dataclass(frozen=True, slots=True)
class Near:
    """An object and how far it is from a place."""

    thing: SkyObject
    separation_deg: float


def to_icrs(ra_deg: float, dec_deg: float, equinox: float) -> tuple[float, float]:
    """A place of another equinox brought to ICRS (FK5, by astropy): 0.36 degrees in 26 years."""
    if abs(equinox - 2000.0) < 0.5:
        return ra_deg, dec_deg
    from astropy.coordinates import FK5, SkyCoord

    place = SkyCoord(ra_deg, dec_deg, unit="deg", frame=FK5(equinox=f"J{equinox:.3f}")).icrs
    return float(place.ra.deg), float(place.dec.deg)


def separation_deg(
    ra_deg: float, dec_deg: float, other_ra_deg: float, other_dec_deg: float
) -> float:
    """Great-circle distance of two directions, by the chord: exact for small ones too."""
    one, other = _unit(ra_deg, dec_deg), _unit(other_ra_deg, other_dec_deg)
    return float(np.degrees(2.0 * np.arcsin(min(1.0, float(np.linalg.norm(one - other)) / 2.0))))


def nearest_object(ra_deg: float, dec_deg: float, within_deg: float) -> Near | None:
    """The deep-sky object nearest to a place (ICRS), or None if none is within that distance.

    One that the place lies in (within its own half size) comes before those beside it.
    """
    catalogue = deep_sky()
    chord = np.linalg.norm(catalogue.unit_icrs - _unit(ra_deg, dec_deg), axis=1)
    distances_deg = np.degrees(2.0 * np.arcsin(np.minimum(1.0, chord / 2.0)))
    outside_deg = np.maximum(0.0, distances_deg - np.minimum(_half_sizes_deg(), within_deg / 2.0))
    order = np.lexsort((distances_deg, outside_deg))
    best = int(order[0])
    if distances_deg[best] > within_deg:
        return None
    return Near(catalogue.at(best), float(distances_deg[best]))


@cache
def _half_sizes_deg() -> Floats:
    sizes: Floats = np.nan_to_num(deep_sky().major_arcmin)
    return np.where(sizes > _OWN_SIZE_COUNTS_ARCMIN, sizes, 0.0) / 120.0


def _unit(ra_deg: float, dec_deg: float) -> Floats:
    ra, dec = np.radians(ra_deg), np.radians(dec_deg)
    return np.array([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)])
