"""Where one observes from."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from logbook.errors import BadInput
from logbook.sky.night.clock import zone_of
from logbook.text import clean

Horizon = tuple[tuple[float, float], ...]


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


def checked_site(site: Site) -> Site:
    """The site as it is to be used: name cleaned, horizon sorted. Raises BadInput."""
    name = clean(site.name, longest=120)
    if not name:
        raise BadInput("the site needs a name")
    zone_of(site.time_zone)
    check_position(site)
    if site.dark_sky_mag_arcsec2 is not None:
        _within(site.dark_sky_mag_arcsec2, "dark sky", 5.0, 23.5, " mag/arcsec²")
    return replace(site, name=name, horizon=checked_horizon(site.horizon))


def check_position(site: Site) -> None:
    """Raises BadInput unless the site lies on the Earth."""
    _within(site.latitude_deg, "latitude", -90.0, 90.0, "°")
    _within(site.longitude_deg, "longitude", -180.0, 180.0, "°")
    _within(site.elevation_m, "elevation", -500.0, 9000.0, " m")


def checked_horizon(pairs: Iterable[tuple[float, float]]) -> Horizon:
    """Azimuth and altitude pairs, sorted by azimuth, 360 read as 0. Raises BadInput.

    No pair at all is a flat horizon; one alone says too little, so there are at least two. An
    altitude may lie below 0 where one looks down from a height, but not below -5.
    """
    kept: dict[float, float] = {}
    for azimuth_deg, altitude_deg in pairs:
        _within(azimuth_deg, "horizon azimuth", 0.0, 360.0, "°")
        _within(altitude_deg, f"horizon altitude at azimuth {azimuth_deg:g}°", -5.0, 90.0, "°")
        azimuth = azimuth_deg % 360.0
        if kept.get(azimuth, altitude_deg) != altitude_deg:
            raise BadInput(f"the horizon has two altitudes at azimuth {azimuth:g}°: keep one")
        if azimuth in kept and azimuth != 0.0:  # 0 and 360 may both close the circle
            raise BadInput(f"the horizon names azimuth {azimuth:g}° twice: keep one")
        kept[azimuth] = float(altitude_deg)
    if len(kept) == 1:
        raise BadInput("the horizon has one point only: give at least two, or none for a flat one")
    return tuple(sorted(kept.items()))


def read_horizon(text: str) -> Horizon:
    """A horizon from lines of `azimuth,altitude` in degrees, north 0, east 90. Raises BadInput.

    A line of words on top and lines that begin with # are passed over. Comma, semicolon, tab or
    spaces may stand between the two.
    """
    pairs: list[tuple[float, float]] = []
    seen_line = False
    for number, raw in enumerate(text.lstrip("\ufeff").splitlines(), start=1):
        line = raw.split("#")[0].strip()
        if not line:
            continue
        cells = line.replace(";", " ").replace(",", " ").split()
        try:
            azimuth_deg, altitude_deg = (float(cell) for cell in cells)
        except ValueError:
            if seen_line or any(character.isdigit() for character in line):
                shown = clean(raw, longest=40)
                raise BadInput(
                    f"horizon line {number} is not two numbers, azimuth and altitude: {shown!r}"
                ) from None
        else:
            pairs.append((azimuth_deg, altitude_deg))
        seen_line = True
    if not pairs:
        raise BadInput("no horizon in it: write lines of azimuth,altitude, for example 90,15")
    return checked_horizon(pairs)


def horizon_altitude_deg(horizon: Horizon, azimuth_deg: float) -> float:
    """Altitude of the horizon at an azimuth: straight lines between the points, through north."""
    if not horizon:
        return 0.0
    azimuth = azimuth_deg % 360.0
    after = next((i for i, point in enumerate(horizon) if point[0] > azimuth), 0)
    (low_azimuth, low), (high_azimuth, high) = horizon[after - 1], horizon[after]
    width = (high_azimuth - low_azimuth) % 360.0 or 360.0
    return low + (high - low) * ((azimuth - low_azimuth) % 360.0) / width


def _within(value: float, what: str, low: float, high: float, unit: str) -> None:
    if not (math.isfinite(value) and low <= value <= high):
        raise BadInput(f"{what} {value:g}{unit} is not possible: {low:g} to {high:g}{unit}")
