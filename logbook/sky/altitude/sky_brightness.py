"""How bright the sky is under the Moon.

Source: Krisciunas & Schaefer 1991, PASP 103, 1033 (its equations are named below); stated there to
hold within 8 to 23 %. Within 7° of full the real Moon may be a third brighter.
"""

import numpy as np

from logbook.sky.night.arrays import Floats

DARK_SKY_MAG_ARCSEC2 = 21.0  # taken for a site that does not say; common practice, no source


def extinction_mag(elevation_m: float) -> float:
    """Magnitudes lost per airmass in visual light under clear air.

    Source: Green 1992, ICQ 14, 55 (Rayleigh, aerosol, ozone).
    """
    height_km = elevation_m / 1000.0
    return float(0.1451 * np.exp(-height_km / 7.996) + 0.120 * np.exp(-height_km / 1.5) + 0.016)


def nanolambert(mag_arcsec2: Floats | float) -> Floats:
    """Surface brightness in nanolamberts. Source: eq. 1."""
    return np.asarray(34.08 * np.exp(20.7233 - 0.92104 * np.asarray(mag_arcsec2)))


def _airmass(sine_altitude: Floats) -> Floats:
    """Source: eq. 3."""
    return np.asarray(1.0 / np.sqrt(1.0 - 0.96 * (1.0 - np.square(sine_altitude))))


def dark_sky_nl(sine_altitude: Floats, zenith_mag_arcsec2: float, extinction: float) -> Floats:
    """Moonless sky at an altitude, nanolamberts. Source: eq. 2."""
    airmass = _airmass(sine_altitude)
    fading = np.power(10.0, -0.4 * extinction * (airmass - 1.0))
    return np.asarray(nanolambert(zenith_mag_arcsec2) * fading * airmass)


def moonlight_nl(
    phase_angle_deg: Floats | float,
    separation_deg: Floats,
    sine_altitude: Floats,
    sine_moon_altitude: Floats,
    extinction: float,
) -> Floats:
    """What the Moon adds to the sky, nanolamberts; nothing when it is below the horizon.

    phase_angle_deg -- at the Moon between Sun and Earth: 0 full, 180 new.
    separation_deg -- from the Moon to the spot of sky.
    Source: eq. 15, 20 and 21; under 10° from the Moon, eq. 19.
    """
    angle = np.abs(phase_angle_deg)
    moon = np.power(10.0, -0.4 * (3.84 + 0.026 * angle + 4e-9 * angle**4))
    separation = np.maximum(separation_deg, 0.25)
    wide = 10**5.36 * (1.06 + np.square(np.cos(np.radians(separation)))) + np.power(
        10.0, 6.15 - separation / 40.0
    )
    scattered = np.where(separation < 10.0, 6.2e7 / np.square(separation), wide)
    reaching = np.power(10.0, -0.4 * extinction * _airmass(sine_moon_altitude))
    deep = 1.0 - np.power(10.0, -0.4 * extinction * _airmass(sine_altitude))
    light = scattered * moon * reaching * deep
    return np.where(np.asarray(sine_moon_altitude) > 0.0, light, 0.0)


def brighter_mag(moon_nl: Floats, dark_nl: Floats) -> Floats:
    """How much brighter the Moon makes the sky, magnitudes (0 for none). Source: eq. 22."""
    return np.asarray(2.5 * np.log10(1.0 + moon_nl / dark_nl))
