"""Where one observes from."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Site:
    """A place to observe from, WGS 84.

    `horizon` holds (azimuth_deg, altitude_deg) pairs, north 0, east 90, sorted by azimuth; empty
    means a flat horizon at 0 degrees. `dark_sky_mag_arcsec2` is the moonless zenith, if known.
    """

    name: str
    latitude_deg: float
    longitude_deg: float  # east positive
    elevation_m: float
    time_zone: str  # IANA name
    horizon: tuple[tuple[float, float], ...] = ()
    dark_sky_mag_arcsec2: float | None = None
