"""What lenses, mirrors and sensors do together: pure functions of plain numbers.

Every function raises ValueError for a length or size that cannot be; check a part first
(`check.py`) to report it in words.
"""

import math

ARCSEC_PER_RADIAN = math.degrees(1.0) * 3600.0  # 206264.806


def positive(**lengths: float) -> None:
    """Raises ValueError, naming the value, unless each is finite and more than 0."""
    for name, value in lengths.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be more than nothing: {value}")


def reducer_factor(spacing_mm: float, lens_focal_length_mm: float) -> float:
    """What a reducer multiplies the focal length by: 1 - s/f, for a thin lens.

    spacing_mm -- from the reducer to the sensor; less than its focal length.
    Source: thin-lens equation, 1/s - 1/x = 1/f with M = s/x (any optics text).
    Raises ValueError for a length that is not positive or a spacing past the focus.
    """
    positive(spacing_mm=spacing_mm, lens_focal_length_mm=lens_focal_length_mm)
    if spacing_mm >= lens_focal_length_mm:
        raise ValueError(f"a spacing of {spacing_mm} mm is past the reducer's own focus")
    return 1.0 - spacing_mm / lens_focal_length_mm


def barlow_factor(spacing_mm: float, lens_focal_length_mm: float) -> float:
    """What a Barlow lens multiplies the focal length by: 1 + s/|f|, for a thin lens."""
    lens_mm = abs(lens_focal_length_mm)
    positive(spacing_mm=spacing_mm, lens_focal_length_mm=lens_mm)
    return 1.0 + spacing_mm / lens_mm


def focal_ratio(focal_length_mm: float, aperture_mm: float) -> float:
    """Focal length over aperture: N in f/N. Raises ValueError unless both are more than 0."""
    positive(focal_length_mm=focal_length_mm, aperture_mm=aperture_mm)
    return focal_length_mm / aperture_mm


def image_scale_arcsec_px(pixel_um: float, focal_length_mm: float, binning: int = 1) -> float:
    """Arcseconds of sky on one pixel: 206.264806 p/f with p in µm and f in mm."""
    positive(pixel_um=pixel_um, focal_length_mm=focal_length_mm, binning=binning)
    return ARCSEC_PER_RADIAN / 1000.0 * pixel_um * binning / focal_length_mm


def field_deg(width_mm: float, focal_length_mm: float) -> float:
    """Sky across a flat width at the focus, exactly: 2 atan(w / 2f)."""
    positive(width_mm=width_mm, focal_length_mm=focal_length_mm)
    return math.degrees(2.0 * math.atan(width_mm / (2.0 * focal_length_mm)))


def sensor_size_mm(pixel_um: float, count_px: float) -> float:
    """One side of a sensor. Raises ValueError unless both are more than 0."""
    positive(pixel_um=pixel_um, count_px=count_px)
    return pixel_um * count_px / 1000.0


def magnification(focal_length_mm: float, eyepiece_focal_length_mm: float) -> float:
    """How many times an eyepiece enlarges. Raises ValueError unless both are more than 0."""
    positive(focal_length_mm=focal_length_mm, eyepiece_focal_length_mm=eyepiece_focal_length_mm)
    return focal_length_mm / eyepiece_focal_length_mm


def exit_pupil_mm(eyepiece_focal_length_mm: float, ratio: float) -> float:
    """Width of the bundle that leaves the eyepiece: its focal length over the focal ratio."""
    positive(eyepiece_focal_length_mm=eyepiece_focal_length_mm, ratio=ratio)
    return eyepiece_focal_length_mm / ratio


def true_field_from_apparent_deg(apparent_field_deg: float, magnifies: float) -> float:
    """Apparent field over magnification. Distortion makes this good to 10 % only: prefer the
    field stop (`field_deg`) when it is known."""
    positive(apparent_field_deg=apparent_field_deg, magnifies=magnifies)
    return apparent_field_deg / magnifies


def obstruction_by_diameter(obstruction_mm: float, aperture_mm: float) -> float:
    """Width of the shadow over width of the aperture, 0 to less than 1.

    Raises ValueError for one that does not fit the aperture.
    """
    positive(aperture_mm=aperture_mm)
    if not 0.0 <= obstruction_mm < aperture_mm:
        raise ValueError(f"an obstruction of {obstruction_mm} mm does not fit the aperture")
    return obstruction_mm / aperture_mm


def light_loss_fraction(by_diameter: float) -> float:
    """Share of the light that a central obstruction blocks: the square of its width.

    Raises ValueError outside 0 to less than 1.
    """
    if not 0.0 <= by_diameter < 1.0:
        raise ValueError(f"an obstruction is 0 to less than 1 of the aperture: {by_diameter}")
    return by_diameter**2


def light_loss_mag(by_diameter: float) -> float:
    """The same loss in magnitudes: -2.5 log10(1 - e²)."""
    return 2.5 * math.log10(1.0 / (1.0 - light_loss_fraction(by_diameter)))


def glass_shift_mm(thickness_mm: float, refractive_index: float) -> float:
    """How far a flat glass puts the focus back: t (1 - 1/n), for a slender bundle.

    Source: Snell's law for small angles (any optics text); 2 % more at f/2.
    Raises ValueError for a thickness below 0 or an index below 1.
    """
    if not (thickness_mm >= 0.0 and refractive_index >= 1.0):
        raise ValueError(f"no such glass: {thickness_mm} mm of index {refractive_index}")
    return thickness_mm * (1.0 - 1.0 / refractive_index)
