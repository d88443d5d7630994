"""Resolution, contrast and sampling against published values and reference computations."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import jn_zeros

from logbook.kit.optics.contrast import contrast, curve, cutoff_per_arcsec, overlap_area
from logbook.kit.optics.resolution import RAYLEIGH, limits
from logbook.kit.optics.sampling import FITS, OVER, UNDER, judged, sampling

SHARES = st.floats(0.0, 1.0)
OBSTRUCTIONS = st.floats(0.0, 0.9)


# Resolution


def test_limits_of_200_mm() -> None:
    """Rayleigh 1.22 λ/D, Dawes 116″/D, Sparrow 0.947 λ/D at 0.55 µm: textbook values."""
    found = {limit.name: limit.arcsec for limit in limits(200.0)}
    assert found["Rayleigh"] == pytest.approx(0.6918, abs=5e-5)
    assert found["Dawes"] == pytest.approx(0.580, abs=5e-4)
    assert found["Sparrow"] == pytest.approx(0.5372, abs=5e-5)
    assert all(limit.source for limit in limits(200.0))


def test_rayleigh_is_the_first_zero_of_the_bessel_function() -> None:
    """Born & Wolf, ch. 8.5.2; the zero from scipy."""
    assert pytest.approx(jn_zeros(1, 1)[0] / math.pi, rel=1e-12) == RAYLEIGH


@pytest.mark.parametrize("wrong", [0.0, -203.0, math.nan])
def test_an_aperture_that_cannot_be_is_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="more than nothing"):
        limits(wrong)


# Contrast


@pytest.mark.parametrize(
    ("obstruction", "quarter", "half"),
    [
        (0.0, 0.685, 0.391),
        (0.20, 0.630, 0.367),
        (0.33, 0.541, 0.325),
        (0.45, 0.435, 0.261),
        (0.50, 0.377, 0.224),
    ],
)
def test_contrast_of_annular_apertures(obstruction: float, quarter: float, half: float) -> None:
    """O'Neill 1956; the table's values are confirmed by quadrature and by FFT autocorrelation."""
    assert contrast(0.25, obstruction) == pytest.approx(quarter, abs=5.1e-4)
    assert contrast(0.5, obstruction) == pytest.approx(half, abs=5.1e-4)


def chords(height: float, obstruction: float, middle: float) -> list[tuple[float, float]]:
    """What a line across an annulus of radius 1 runs through."""
    outer = math.sqrt(1.0 - height**2) if abs(height) < 1.0 else 0.0
    inner = math.sqrt(obstruction**2 - height**2) if abs(height) < obstruction else 0.0
    return [(middle - outer, middle - inner), (middle + inner, middle + outer)]


def shared(height: float, obstruction: float, apart: float) -> float:
    return sum(
        max(0.0, min(one[1], other[1]) - max(one[0], other[0]))
        for one in chords(height, obstruction, 0.0)
        for other in chords(height, obstruction, apart)
    )


@pytest.mark.parametrize("obstruction", [0.0, 0.2, 0.33, 0.45, 0.6])
@pytest.mark.parametrize("frequency", [0.05, 0.2, 0.33, 0.5, 0.7, 0.95])
def test_contrast_is_the_overlap_of_the_aperture_with_itself(
    frequency: float, obstruction: float
) -> None:
    """Reference: the shared area summed chord by chord with scipy's quadrature."""
    area, _ = quad(
        shared,
        -1.0,
        1.0,
        (obstruction, 2.0 * frequency),
        points=(-obstruction, 0.0, obstruction),
        epsabs=1e-6,
        epsrel=1e-6,
        limit=200,
    )
    expected = area / (math.pi * (1.0 - obstruction**2))
    assert contrast(frequency, obstruction) == pytest.approx(expected, abs=2e-5)


@given(SHARES, OBSTRUCTIONS)
def test_contrast_is_a_share_and_gone_at_the_cutoff(frequency: float, obstruction: float) -> None:
    assert 0.0 <= contrast(frequency, obstruction) <= 1.0 + 1e-12
    assert contrast(1.0, obstruction) == pytest.approx(0.0, abs=1e-12)
    assert contrast(0.0, obstruction) == pytest.approx(1.0)


@given(st.floats(0.01, 0.45))
def test_an_obstruction_costs_contrast_in_the_middle_and_gives_some_at_the_end(
    obstruction: float,
) -> None:
    """O'Neill 1956: past a shift of more than the outer and inner radius only the two outer circles
    overlap, and the share of a smaller area is larger."""
    assert contrast(0.25, obstruction) < contrast(0.25)
    assert contrast(0.95, obstruction) > contrast(0.95)


def test_the_curve_runs_from_all_to_nothing() -> None:
    found = curve(0.33, 41)
    assert len(found) == 41
    assert (found[0][0], found[-1][0]) == (0.0, 1.0)
    assert found[0][1] == pytest.approx(1.0)
    assert found[-1][1] == pytest.approx(0.0)


def test_the_cutoff_is_the_aperture_in_wavelengths() -> None:
    """D/λ: 203 mm at 0.55 µm are 369091 lines to the radian, 1.7894 to the arcsecond."""
    assert cutoff_per_arcsec(203.0) == pytest.approx(1.7894, abs=5e-5)


@given(st.floats(0.1, 10.0), st.floats(0.1, 10.0), st.floats(0.0, 25.0))
def test_two_circles_share_at_most_the_smaller_one(one: float, other: float, apart: float) -> None:
    area = overlap_area(one, other, apart)
    assert -1e-9 <= area <= math.pi * min(one, other) ** 2 + 1e-9
    assert area == pytest.approx(overlap_area(other, one, apart), abs=1e-9)


def test_contrast_that_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="no such contrast"):
        contrast(0.5, 1.0)
    with pytest.raises(ValueError, match="no such contrast"):
        contrast(-0.1)


# Sampling


def test_the_scales_that_fit_two_arcseconds() -> None:
    """FWHM/2 = 1.0″/px and FWHM/3.3 = 0.61″/px, 7.87 and 4.77 µm at 1624 mm: two pixels by
    Nyquist (Howell 2006, ch. 5), 3.3 by common practice."""
    found = sampling(0.47756, 2.0)
    assert found.coarsest_arcsec_px == pytest.approx(1.0)
    assert found.finest_arcsec_px == pytest.approx(0.606, abs=5e-4)
    um_per_arcsec = 1624.0 * 1000.0 / 206264.806
    assert found.coarsest_arcsec_px * um_per_arcsec == pytest.approx(7.87, abs=5e-3)
    assert found.finest_arcsec_px * um_per_arcsec == pytest.approx(4.77, abs=5e-3)


def test_words_say_by_how_much_and_what_binning_does() -> None:
    found = sampling(0.47756, 2.0)
    assert found.verdict == OVER
    assert found.pixels_across == pytest.approx(4.188, abs=5e-4)
    assert found.off_factor == pytest.approx(4.188 / 3.3, abs=5e-4)
    assert "1.3× finer" in found.words
    assert [each.verdict for each in found.binned] == [OVER, FITS, UNDER, UNDER]
    assert [each.binning for each in found.binned] == [1, 2, 3, 4]
    assert found.binned[1].scale_arcsec_px == pytest.approx(0.95512)
    assert "1.4× too coarse" in found.binned[2].words


@given(st.floats(0.05, 20.0), st.floats(0.3, 8.0))
def test_a_verdict_is_off_by_its_factor(scale: float, seeing: float) -> None:
    found = sampling(scale, seeing)
    if found.verdict == UNDER:
        assert judged(found.pixels_across * found.off_factor * 1.0001)[0] == FITS
    if found.verdict == OVER:
        assert judged(found.pixels_across / found.off_factor * 0.9999)[0] == FITS
    assert found.off_factor >= 1.0


@pytest.mark.parametrize(("scale", "seeing"), [(0.0, 2.0), (0.5, 0.0), (math.nan, 2.0)])
def test_sampling_of_nothing_is_refused(scale: float, seeing: float) -> None:
    with pytest.raises(ValueError, match="more than nothing"):
        sampling(scale, seeing)
