"""Tilt of the sensor: defocus from edge to edge, and what focus allows."""

import math

from logbook.errors import BadInput


def edge_defocus_um(width_mm: float, tilt_deg: float) -> float:
    """Difference of focus between two edges `width_mm` apart: w·tan θ."""
    return width_mm * math.tan(math.radians(tilt_deg)) * 1e3


def tilt_for_deg(width_mm: float, defocus_um: float) -> float:
    """The tilt that makes it. Raises BadInput where the width is not above 0."""
    if not width_mm > 0.0:
        raise BadInput("the width must be a number above 0")
    return math.degrees(math.atan(defocus_um * 1e-3 / width_mm))


def focus_zone_um(focal_ratio: float, wavelength_um: float = 0.55) -> float:
    """Total length of the zone within a quarter wave: 4·λ·N². Source: Born & Wolf, § 8.8."""
    return 4.0 * wavelength_um * focal_ratio**2
