"""How exactly a telescope has to be focused, and how heat moves its focus."""

from dataclasses import dataclass

from logbook.kit.optics.formulas import ARCSEC_PER_RADIAN, positive
from logbook.kit.optics.resolution import RAYLEIGH, WAVELENGTH_UM
from logbook.kit.parts.materials import Material


@dataclass(frozen=True, slots=True)
class FocusZone:
    """Length along the axis, at the sensor, within which one rule calls the picture sharp.

    steps -- how many of the focuser's finest steps it holds; None if these are not known.
    """

    name: str
    length_um: float
    steps: float | None
    source: str


def focus_zones(
    ratio: float,
    focal_length_mm: float,
    seeing_arcsec: float,
    step_um: float | None = None,
    wavelength_um: float = WAVELENGTH_UM,
    gain: float = 1.0,
) -> tuple[FocusZone, ...]:
    """The focus zone by three rules, which differ; each by its name and with its source.

    gain -- how far the focus moves at the sensor for a move of the focuser: the square of what the
    lenses behind the focuser multiply by (longitudinal magnification, any optics text).
    Quarter wave: 4 λN² (Rayleigh's criterion; Born & Wolf, ch. 8.8). Blur as wide as the Airy disc:
    2 N · 2.44 λN. Blur as wide as the seeing: 2 N f θ, geometry alone.
    """
    positive(ratio=ratio, focal_length_mm=focal_length_mm, seeing_arcsec=seeing_arcsec)
    positive(wavelength_um=wavelength_um)
    seeing_um = seeing_arcsec / ARCSEC_PER_RADIAN * focal_length_mm * 1000.0
    rules = (
        ("quarter wave", 4.0 * wavelength_um * ratio**2, "4 λN², Born & Wolf ch. 8.8"),
        ("Airy blur", 4.0 * RAYLEIGH * wavelength_um * ratio**2, "4.88 λN², blur = Airy disc"),
        ("seeing blur", 2.0 * ratio * seeing_um, f"2 N f θ, blur = {seeing_arcsec:g}″ seeing"),
    )
    return tuple(
        FocusZone(name, length_um, length_um / (gain * step_um) if step_um else None, source)
        for name, length_um, source in rules
    )


def mirror_drift_um_per_k(
    focal_length_mm: float,
    primary_focal_length_mm: float,
    mirror_spacing_mm: float,
    tube: Material,
    mirrors: Material | None,
) -> float:
    """How the focus of a two-mirror telescope moves for a kelvin of warming; positive is away from
    the sky, out of the focuser.

    m magnifies the secondary, d parts the mirrors, b is from the primary's surface to the focus:
    -((m² + 1) d + b) times the expansion of the tube less that of the mirrors, all on one tube.
    Mirrors of None are rigid. Source: Schroeder, Astronomical Optics, ch. 2 (the focus shift
    for a change of spacing); where tube and mirrors are of one material nothing moves.
    """
    positive(focal_length_mm=focal_length_mm, primary_focal_length_mm=primary_focal_length_mm)
    positive(mirror_spacing_mm=mirror_spacing_mm)
    magnifies = focal_length_mm / primary_focal_length_mm
    behind_mm = magnifies * (primary_focal_length_mm - mirror_spacing_mm) - mirror_spacing_mm
    expansion = tube.expansion_um_m_k - (mirrors.expansion_um_m_k if mirrors else 0.0)
    return -((magnifies**2 + 1.0) * mirror_spacing_mm + behind_mm) * expansion / 1000.0


def tube_drift_um_per_k(focal_length_mm: float, tube: Material) -> float:
    """The same where a tube as long as the focal length holds a lens or one mirror: -f a.

    What the lens itself does is left out.
    """
    positive(focal_length_mm=focal_length_mm)
    return -focal_length_mm * tube.expansion_um_m_k / 1000.0


def exit_pupil_distance_mm(
    focal_length_mm: float, primary_focal_length_mm: float, mirror_spacing_mm: float
) -> float:
    """From the focus of a two-mirror telescope to where its aperture seems to stand.

    The primary is seen in the secondary, by the mirror equation (any optics text).
    """
    positive(focal_length_mm=focal_length_mm, primary_focal_length_mm=primary_focal_length_mm)
    positive(mirror_spacing_mm=mirror_spacing_mm)
    to_primary_focus_mm = primary_focal_length_mm - mirror_spacing_mm
    positive(to_primary_focus_mm=to_primary_focus_mm)
    to_focus_mm = to_primary_focus_mm * focal_length_mm / primary_focal_length_mm
    secondary_per_mm = 1.0 / to_primary_focus_mm - 1.0 / to_focus_mm  # of its focal length
    image_mm = 1.0 / (1.0 / mirror_spacing_mm + secondary_per_mm)
    return to_focus_mm + image_mm


@dataclass(frozen=True, slots=True)
class FocusDrift:
    """How the focuser must follow the temperature, and what uses up the quarter-wave zone.

    um_per_k -- positive: drawn out as it warms; steps_per_k -- the same in its finest steps.
    """

    um_per_k: float
    material: str
    steps_per_k: float | None
    kelvin_per_zone: float | None
    words: str


def focus_drift(
    um_per_k: float, material: str, zone_um: float | None, step_um: float | None = None
) -> FocusDrift:
    """zone_um is the quarter-wave zone as the focuser moves through it."""
    steps = um_per_k / step_um if step_um else None
    kelvin = zone_um / abs(um_per_k) if zone_um and um_per_k else None
    way = "in" if um_per_k > 0 else "out"
    words = f"{abs(um_per_k):.1f} µm"
    if steps is not None:
        words += f", {abs(steps):.0f} finest steps,"
    words += f" {way} for each K of cooling ({material} tube)"
    if kelvin is not None:
        words += f"; {kelvin:.1f} K use up the quarter-wave zone"
    return FocusDrift(um_per_k, material, steps, kelvin, words)
