"""From the sky to the flat picture and back.

A picture's plane touches the sky in its middle (gnomonic projection, as a lens or mirror makes
it). x goes to the picture's right and y up, in degrees, the sky being seen from below with nothing
mirrored: with the angle 0 north is up and east is left.
Source: Calabretta & Greisen 2002, A&A 395, 1077, sec. 5.1.3.
"""

import math

import numpy as np

from logbook.sky.night.arrays import Floats


def to_plane(
    centre_deg: tuple[float, float], unit_icrs: Floats, angle_deg: float
) -> tuple[Floats, Floats]:
    """x and y in degrees (n) of directions (n, 3); NaN for those more than 90° away.

    centre_deg -- right ascension and declination of the middle.
    angle_deg -- position angle of the picture's up.
    """
    middle, east, north = _axes(*centre_deg)
    along = unit_icrs @ middle
    scale = np.degrees(1.0 / np.where(along > 0.0, along, np.nan))
    xi, eta = unit_icrs @ east * scale, unit_icrs @ north * scale
    sine, cosine = math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))
    return np.asarray(eta * sine - xi * cosine), np.asarray(eta * cosine + xi * sine)


def from_plane(
    ra_deg: float, dec_deg: float, x_deg: float, y_deg: float, angle_deg: float
) -> tuple[float, float]:
    """Right ascension and declination of a point of the picture; the inverse of `to_plane`."""
    sine, cosine = math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))
    xi, eta = y_deg * sine - x_deg * cosine, y_deg * cosine + x_deg * sine
    middle, east, north = _axes(ra_deg, dec_deg)
    there = middle + math.radians(xi) * east + math.radians(eta) * north
    there = there / np.linalg.norm(there)
    ra = math.degrees(math.atan2(there[1], there[0])) % 360.0
    return ra, math.degrees(math.asin(max(-1.0, min(1.0, float(there[2])))))


def _axes(ra_deg: float, dec_deg: float) -> tuple[Floats, Floats, Floats]:
    """Directions of the middle, of east and of north there."""
    ra, dec = math.radians(ra_deg), math.radians(dec_deg)
    middle = (math.cos(dec) * math.cos(ra), math.cos(dec) * math.sin(ra), math.sin(dec))
    east = (-math.sin(ra), math.cos(ra), 0.0)
    north = (-math.sin(dec) * math.cos(ra), -math.sin(dec) * math.sin(ra), math.cos(dec))
    return np.array(middle), np.array(east), np.array(north)
