"""The constellation a place falls in. Needs astropy, unlike the rest of the build."""

from collections.abc import Sequence


def constellations(ra_deg: Sequence[float], dec_deg: Sequence[float]) -> list[str]:
    """Return the short names of the constellations at ICRS places (boundaries: Roman 1987).

    Astropy adds the aberration of light, so within 20" of a boundary the neighbour may come out.
    """
    from astropy.coordinates import SkyCoord, get_constellation

    if not ra_deg:
        return []
    places = SkyCoord(list(ra_deg), list(dec_deg), unit="deg")
    return [str(short) for short in get_constellation(places, short_name=True)]
