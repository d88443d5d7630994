"""How large, how bright and how far lit the planets look."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from logbook.sky.night.arrays import Floats
from logbook.sky.night.earth import AU_M
from logbook.sky.night.sky_frame import SkyFrame
from logbook.sky.solar_system.positions import planet_gcrs, planet_number

# Equatorial radii. Source: IAU working group on cartographic coordinates, Archinal et al. 2018.
_RADIUS_KM = {
    "Mercury": 2440.53,
    "Venus": 6051.8,
    "Mars": 3396.19,
    "Jupiter": 71492.0,
    "Saturn": 60268.0,
    "Uranus": 25559.0,
    "Neptune": 24764.0,
}
# North poles at 2000.0, right ascension and declination in degrees. Source: the same report.
_POLE_DEG = {"Saturn": (40.589, 83.537), "Uranus": (257.311, -15.175)}


@dataclass(frozen=True, slots=True)
class PlanetLook:
    """A planet from the centre of the Earth at one instant.

    elongation_deg -- distance from the Sun in the sky; `east` of it shows in the evening.
    tilt_deg -- of Saturn's rings or Uranus's equator towards us; 0 for the others.
    """

    distance_au: float
    from_sun_au: float
    diameter_arcsec: float
    magnitude: float
    phase_angle_deg: float
    illumination: float
    elongation_deg: float
    east: bool
    tilt_deg: float


def planet_look(frame: SkyFrame, name: str, mjd: float) -> PlanetLook:
    """How one planet looks at an instant of the frame's night. Raises NotFound."""
    seen, from_sun = (
        each[0]
        for each in planet_gcrs(planet_number(name), np.array([frame.orientation.tt_jd(mjd)]))
    )
    sun = frame.course.at(np.array([mjd]))[0][0] @ frame.orientation.to_date
    distance, sun_distance = float(np.linalg.norm(seen)), float(np.linalg.norm(from_sun))
    phase = angle_deg(seen, from_sun)
    tilts = [_latitude_deg(name, each) for each in (seen, from_sun)]
    radius_au = _RADIUS_KM[name] * 1000.0 / AU_M
    dimming = _MAGNITUDES[name](phase, *tilts)
    return PlanetLook(
        distance_au=distance,
        from_sun_au=sun_distance,
        diameter_arcsec=float(2.0 * np.degrees(np.arcsin(radius_au / distance)) * 3600.0),
        magnitude=float(5.0 * np.log10(distance * sun_distance) + dimming),
        phase_angle_deg=phase,
        illumination=float((1.0 + np.cos(np.radians(phase))) / 2.0),
        elongation_deg=angle_deg(seen, sun),
        east=bool(np.cross(sun, seen)[2] > 0.0),
        tilt_deg=tilts[0],
    )


def _latitude_deg(name: str, towards_planet: Floats) -> float:
    """Latitude on the planet that faces who looks along a vector."""
    if name not in _POLE_DEG:
        return 0.0
    ra, dec = np.radians(_POLE_DEG[name])
    pole = np.array([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)])
    return 90.0 - angle_deg(pole, -towards_planet)


def angle_deg(one: Floats, other: Floats) -> float:
    """Angle between two vectors, good for small ones."""
    across = np.linalg.norm(np.cross(one, other))
    return float(np.degrees(np.arctan2(across, one @ other)))


# Magnitude in V at 1 AU from Sun and Earth, by phase angle (degrees) and the latitudes that face
# us and the Sun. Source: Mallama & Hilton 2018, Astronomy and Computing 25, 10, for what is seen
# from the Earth; without Mars's turning and seasons (0.1 mag).


def _mercury(phase: float, *_: float) -> float:
    terms = (-0.613, 6.3280e-2, -1.6336e-3, 3.3644e-5, -3.4265e-7, 1.6893e-9, -3.0334e-12)
    return _series(terms, phase)


def _venus(phase: float, *_: float) -> float:
    if phase > 163.7:
        return _series((236.05828, -2.81914, 8.39034e-3), phase)
    return _series((-4.384, -1.044e-3, 3.687e-4, -2.814e-6, 8.938e-9), phase)


def _mars(phase: float, *_: float) -> float:
    if phase > 50.0:
        return _series((-0.367, -0.02573, 3.445e-4), phase)
    return _series((-1.601, 2.267e-2, -1.302e-4), phase)


def _jupiter(phase: float, *_: float) -> float:
    return _series((-9.395, -3.7e-4, 6.16e-4), phase)


def _saturn(phase: float, facing_us: float, facing_sun: float) -> float:
    """Globe and rings; rings lit from the other side show nothing."""
    both = facing_us * facing_sun
    tilt = np.sin(np.radians(np.sqrt(both))) if both > 0.0 else 0.0
    return float(-8.914 - 1.825 * tilt + 0.026 * phase - 0.378 * tilt * np.exp(-2.25 * phase))


def _uranus(phase: float, facing_us: float, facing_sun: float) -> float:
    # The source counts latitudes by the vertical of the flattened planet; 2.3 % flattening moves
    # the magnitude by 0.001.
    latitude = (abs(facing_us) + abs(facing_sun)) / 2.0
    return _series((-7.110, 6.587e-3, 1.045e-4), phase) - 8.4e-4 * latitude


def _neptune(phase: float, *_: float) -> float:
    return _series((-7.00, 7.944e-3, 9.617e-5), phase)


_MAGNITUDES: dict[str, Callable[..., float]] = {
    "Mercury": _mercury,
    "Venus": _venus,
    "Mars": _mars,
    "Jupiter": _jupiter,
    "Saturn": _saturn,
    "Uranus": _uranus,
    "Neptune": _neptune,
}


def _series(terms: tuple[float, ...], phase: float) -> float:
    """A power series by Horner's rule."""
    value = 0.0
    for term in reversed(terms):
        value = value * phase + term
    return value
