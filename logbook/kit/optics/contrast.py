"""How an obstructed aperture carries contrast from the sky to the focus.

Fine detail is given as a share of the finest an aperture can show at all: 0 is a broad patch, 1 the
cutoff D/λ. The optics are taken to be perfect, the light of one colour.

Source: O'Neill 1956, Journal of the Optical Society of America 46, 285 (its annular aperture);
Schroeder, Astronomical Optics, ch. 11.
"""

import math

from logbook.kit.optics.formulas import ARCSEC_PER_RADIAN, positive
from logbook.kit.optics.resolution import WAVELENGTH_UM


def overlap_area(one_radius: float, other_radius: float, apart: float) -> float:
    """Area that two circles have in common (any geometry text)."""
    if apart >= one_radius + other_radius:
        return 0.0
    small = min(one_radius, other_radius)
    if apart <= abs(one_radius - other_radius):
        return math.pi * small**2
    one_part = _segment(one_radius, other_radius, apart)
    return one_part + _segment(other_radius, one_radius, apart)


def _segment(radius: float, other_radius: float, apart: float) -> float:
    """What the other circle's edge cuts off this one."""
    to_chord = (apart**2 + radius**2 - other_radius**2) / (2.0 * apart)
    half_angle = math.acos(max(-1.0, min(1.0, to_chord / radius)))
    half_chord = math.sqrt(max(0.0, radius**2 - to_chord**2))
    return radius**2 * half_angle - to_chord * half_chord


def contrast(frequency: float, obstruction: float = 0.0) -> float:
    """Share of the contrast that is left at a fineness of detail.

    frequency -- share of the cutoff, 0 or more; obstruction -- by diameter, 0 to less than 1.
    The overlap of the aperture with itself shifted by the frequency (O'Neill 1956).
    Raises ValueError outside these ranges.
    """
    if not (frequency >= 0.0 and 0.0 <= obstruction < 1.0):
        raise ValueError(f"no such contrast: frequency {frequency}, obstruction {obstruction}")
    apart = 2.0 * frequency  # of circles of radius 1
    outer = overlap_area(1.0, 1.0, apart)
    if obstruction == 0.0:
        return outer / math.pi
    crossed = overlap_area(1.0, obstruction, apart)
    inner = overlap_area(obstruction, obstruction, apart)
    left = outer - 2.0 * crossed + inner
    return max(0.0, left) / (math.pi * (1.0 - obstruction**2))


def curve(obstruction: float, points: int = 41) -> tuple[tuple[float, float], ...]:
    """(frequency, contrast) from 0 to the cutoff; set it beside `curve(0.0)`."""
    frequencies = (place / (points - 1) for place in range(points))
    return tuple((frequency, contrast(frequency, obstruction)) for frequency in frequencies)


def cutoff_per_arcsec(aperture_mm: float, wavelength_um: float = WAVELENGTH_UM) -> float:
    """The finest detail at all, in light and dark lines to the arcsecond: D/λ."""
    positive(aperture_mm=aperture_mm, wavelength_um=wavelength_um)
    return aperture_mm * 1000.0 / wavelength_um / ARCSEC_PER_RADIAN
