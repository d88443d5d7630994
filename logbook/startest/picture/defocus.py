"""How far the star is out of focus, from the size of its disc.

The disc is dz/N wide, and the wavefront bends by W020 = dz/(8N²) at the pupil's edge.
Source: Schroeder 2000, Astronomical Optics, 2nd ed., ch. 5 (longitudinal defocus and W020).
"""

from dataclasses import dataclass

from logbook.errors import BadInput

LEAST_WAVES = 8.0
MOST_WAVES = 12.0
_TOO_NEAR_WAVES = 5.0
_TOO_FAR_WAVES = 20.0


@dataclass(frozen=True, slots=True)
class Defocus:
    """`distance_mm` is the focuser's way to focus; `verdict` is too near, right or too far."""

    waves: float
    distance_mm: float
    verdict: str
    words: str


def defocus(
    disc_radius_px: float, pixel_um: float, focal_ratio: float, wavelength_um: float = 0.55
) -> Defocus:
    """From the disc's radius on the sensor. Raises BadInput where a number is not above 0."""
    for value, name in (
        (disc_radius_px, "radius of the disc"),
        (pixel_um, "pixel"),
        (focal_ratio, "focal ratio"),
        (wavelength_um, "wavelength"),
    ):
        if not 0.0 < value < 1e6:
            raise BadInput(f"the {name} must be a number above 0")
    distance_mm = 2.0 * disc_radius_px * pixel_um * 1e-3 * focal_ratio
    waves = distance_mm * 1e3 / (8.0 * focal_ratio**2) / wavelength_um
    verdict, advice = _advice(waves, distance_mm)
    return Defocus(waves, distance_mm, verdict, f"{waves:.1f} waves, {distance_mm:.2f} mm{advice}")


def radius_for(
    waves: float, pixel_um: float, focal_ratio: float, wavelength_um: float = 0.55
) -> float:
    """Radius of the disc in pixels at a defocus in waves."""
    return 4.0 * focal_ratio * waves * wavelength_um / pixel_um


def _advice(waves: float, distance_mm: float) -> tuple[str, str]:
    if LEAST_WAVES <= waves <= MOST_WAVES:
        return "right", " out of focus: right"
    aim = LEAST_WAVES if waves < LEAST_WAVES else MOST_WAVES
    move = abs(aim / waves - 1.0) * distance_mm
    if waves < LEAST_WAVES:
        why = "; diffraction fills the shadow" if waves < _TOO_NEAR_WAVES else ""
        return "too near", f" out of focus: {move:.2f} mm further from focus{why}"
    why = "; the offset fades in the noise" if waves > _TOO_FAR_WAVES else ""
    return "too far", f" out of focus: {move:.2f} mm nearer to focus{why}"
