"""Optics of a train against published equations and values computed beside them.

Worked train of these checks: aperture 203 mm, focal length 1624 mm (f/8), pixel 3.76 µm, sensor
23.5 mm wide. All generic numbers.
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.kit.optics import formulas

LENGTHS_MM = st.floats(min_value=0.1, max_value=50_000.0)


@pytest.mark.parametrize(
    ("pixel_um", "focal_length_mm", "arcsec_px"),
    [(3.76, 1624.0, 0.47756), (3.76, 2000.0, 0.38778)],
)
def test_image_scale_is_the_angle_of_one_pixel(
    pixel_um: float, focal_length_mm: float, arcsec_px: float
) -> None:
    """206264.806 arcseconds to the radian (definition of the radian); arithmetic."""
    scale = formulas.image_scale_arcsec_px(pixel_um, focal_length_mm)
    assert scale == pytest.approx(arcsec_px, abs=5e-6)
    exact = math.degrees(math.atan(pixel_um / 1000.0 / focal_length_mm)) * 3600.0
    assert scale == pytest.approx(exact, rel=1e-9)


def test_binning_makes_pixels_larger() -> None:
    assert formulas.image_scale_arcsec_px(3.76, 1624.0, 2) == pytest.approx(2 * 0.47756, abs=1e-5)


@pytest.mark.parametrize(
    ("width_mm", "focal_length_mm", "degrees"),
    [(23.5, 1624.0, 0.82908), (36.0, 500.0, 4.12352), (36.0, 135.0, 15.18929)],
)
def test_field_is_the_exact_arctangent(
    width_mm: float, focal_length_mm: float, degrees: float
) -> None:
    """2 atan(w/2f), any optics text; the short form w/f is 0.6 % too wide at 135 mm."""
    assert formulas.field_deg(width_mm, focal_length_mm) == pytest.approx(degrees, abs=1e-5)


def test_short_form_of_the_field_would_not_pass() -> None:
    short_form = math.degrees(36.0 / 135.0)
    assert abs(short_form - formulas.field_deg(36.0, 135.0)) > 0.08


def test_eyepiece_numbers_of_the_worked_train() -> None:
    """f/fe and fe/N, any handbook of the trade; arithmetic."""
    magnifies = formulas.magnification(1624.0, 25.0)
    assert magnifies == pytest.approx(64.96)
    assert formulas.exit_pupil_mm(25.0, 8.0) == pytest.approx(3.125)
    assert formulas.exit_pupil_mm(25.0, 8.0) == pytest.approx(203.0 / magnifies)
    assert formulas.field_deg(27.4, 1624.0) == pytest.approx(0.96667, abs=1e-5)
    from_apparent = formulas.true_field_from_apparent_deg(68.0, magnifies)
    assert from_apparent == pytest.approx(1.0468, abs=1e-4)


def test_a_millimetre_of_spacing_changes_the_factor_by_one_over_the_focal_length() -> None:
    change = formulas.reducer_factor(86.0, 300.0) - formulas.reducer_factor(85.0, 300.0)
    assert change == pytest.approx(-1.0 / 300.0)


def test_barlow_at_its_own_focal_length_doubles() -> None:
    """M = 1 + s/|f| (thin-lens equation)."""
    assert formulas.barlow_factor(100.0, -100.0) == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("by_diameter", "loss", "loss_mag"),
    [(0.0, 0.0, 0.0), (0.2, 0.04, 0.044), (0.33, 0.109, 0.125), (0.45, 0.203, 0.246),
     (0.5, 0.25, 0.312)],
)  # fmt: skip
def test_obstruction_costs_its_area(by_diameter: float, loss: float, loss_mag: float) -> None:
    """Loss of area e² and -2.5 log10(1 - e²): Schroeder, Astronomical Optics, ch. 10."""
    assert formulas.light_loss_fraction(by_diameter) == pytest.approx(loss, abs=5.1e-4)
    assert formulas.light_loss_mag(by_diameter) == pytest.approx(loss_mag, abs=5e-4)


@pytest.mark.parametrize(("index", "shift_mm"), [(1.517, 1.0224), (1.46, 0.945)])
def test_flat_glass_puts_the_focus_back(index: float, shift_mm: float) -> None:
    """t (1 - 1/n) for 3 mm, from Snell's law for small angles; fused silica 0.315 t."""
    assert formulas.glass_shift_mm(3.0, index) == pytest.approx(shift_mm, abs=5e-4)


def test_flat_glass_agrees_with_a_ray_traced_by_snells_law() -> None:
    """The marginal ray at f/8 through 3 mm of index 1.517: 1.0246 mm, a little more."""
    angle = math.atan(1.0 / 16.0)
    inside = math.asin(math.sin(angle) / 1.517)
    traced = 3.0 * (1.0 - math.tan(inside) / math.tan(angle))
    assert traced == pytest.approx(1.0246, abs=2e-3)
    assert formulas.glass_shift_mm(3.0, 1.517) == pytest.approx(traced, rel=5e-3)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan, math.inf])
def test_lengths_that_cannot_be_are_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="more than nothing"):
        formulas.field_deg(wrong, 1000.0)
    with pytest.raises(ValueError, match="more than nothing"):
        formulas.image_scale_arcsec_px(3.76, wrong)


def test_a_reducer_past_its_own_focus_is_refused() -> None:
    with pytest.raises(ValueError, match="own focus"):
        formulas.reducer_factor(300.0, 300.0)


def test_an_obstruction_wider_than_the_aperture_is_refused() -> None:
    with pytest.raises(ValueError, match="does not fit"):
        formulas.obstruction_by_diameter(203.0, 203.0)
    with pytest.raises(ValueError, match="0 to less than 1"):
        formulas.light_loss_fraction(1.0)
    with pytest.raises(ValueError, match="no such glass"):
        formulas.glass_shift_mm(3.0, 0.9)


@given(width_mm=LENGTHS_MM, focal_length_mm=LENGTHS_MM)
def test_exact_field_is_never_wider_than_the_short_form(
    width_mm: float, focal_length_mm: float
) -> None:
    exact = formulas.field_deg(width_mm, focal_length_mm)
    assert 0.0 < exact < 180.0
    assert exact <= math.degrees(width_mm / focal_length_mm) * (1 + 1e-12)


@given(focal_length_mm=LENGTHS_MM, eyepiece_mm=LENGTHS_MM, aperture_mm=LENGTHS_MM)
def test_exit_pupil_is_the_aperture_over_the_magnification(
    focal_length_mm: float, eyepiece_mm: float, aperture_mm: float
) -> None:
    ratio = formulas.focal_ratio(focal_length_mm, aperture_mm)
    pupil_mm = formulas.exit_pupil_mm(eyepiece_mm, ratio)
    magnifies = formulas.magnification(focal_length_mm, eyepiece_mm)
    assert pupil_mm == pytest.approx(aperture_mm / magnifies, rel=1e-9)
