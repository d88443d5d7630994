"""Star widths over a frame, on frames made with astropy's models and known tilt, and a real field.

astropy.modeling.models.Gaussian2D and Moffat2D are the outside library here: a star is its model
summed over each pixel on a 5 × 5 grid.
"""

import math
from functools import lru_cache
from pathlib import Path

import astropy
import numpy as np
import pytest
from astropy.modeling.models import Gaussian2D, Moffat2D
from numpy.typing import NDArray

from logbook.errors import BadInput
from logbook.startest.field.map import measure_field
from logbook.startest.field.result import FieldMap
from logbook.startest.field.stars import FWHM_PER_SIGMA, field_stars
from logbook.startest.field.words import toward
from logbook.startest.picture.picture import Picture
from logbook.startest.picture.read import read_picture
from logbook.startest.result import Facts

Frame = NDArray[np.float32]
ROWS, COLUMNS = 600, 900
FINE = 5


@lru_cache(maxsize=16)
def frame(
    stars: int = 120,
    *,
    across: float = 0.0,
    down: float = 0.0,
    outward: float = 0.0,
    drawn_out: float = 0.0,
    radial: float = 0.0,
    seed: int = 1,
) -> Frame:
    """σ = 1.6 px + across·u + down·v + outward·r², with u, v in half diagonals from the middle."""
    dice = np.random.default_rng(seed)
    light = dice.normal(300.0, 6.0, (ROWS, COLUMNS))
    half = math.hypot(ROWS, COLUMNS) / 2.0
    for _ in range(stars):
        x, y = dice.uniform(25, COLUMNS - 25), dice.uniform(25, ROWS - 25)
        u, v = (x - (COLUMNS - 1) / 2) / half, (y - (ROWS - 1) / 2) / half
        sigma = 1.6 + across * u + down * v + outward * (u**2 + v**2)
        stretch = drawn_out + radial * math.hypot(u, v)
        angle = math.atan2(v, u) if radial else math.radians(30.0)
        model = Gaussian2D(
            1.0, x, y, sigma * (1 + stretch / 2), sigma * (1 - stretch / 2), theta=angle
        )
        flux = 10 ** dice.uniform(3.6, 4.9)
        _add(light, model, x, y, flux / (2 * math.pi * sigma**2))
    return light.astype(np.float32)


def _add(light: NDArray[np.float64], model: object, x: float, y: float, peak: float) -> None:
    """A model's means over pixels."""
    top, left = max(0, round(y) - 14), max(0, round(x) - 14)
    bottom, right = min(ROWS, round(y) + 15), min(COLUMNS, round(x) + 15)
    inside = (np.arange(FINE) + 0.5) / FINE - 0.5
    rows = (np.arange(top, bottom)[:, None] + inside).ravel()
    columns = (np.arange(left, right)[:, None] + inside).ravel()
    fine = model(columns[None, :], rows[:, None])  # type: ignore[operator]
    mean = fine.reshape(bottom - top, FINE, right - left, FINE).mean(axis=(1, 3))
    light[top:bottom, left:right] += peak * mean


def measured(light: Frame, scale: float | None = None) -> FieldMap:
    return measure_field(Picture(light, Facts(COLUMNS, ROWS, "")), scale)


def test_an_even_field_has_its_width_and_no_pattern() -> None:
    found = measured(frame())
    assert found.ok
    assert found.fwhm_px == pytest.approx(1.6 * FWHM_PER_SIGMA, rel=0.01)
    assert found.elongation is not None
    assert found.elongation < 0.03
    assert len(found.zones) == 9
    assert sum(zone.stars for zone in found.zones) == found.stars
    assert len(found.words) == 1
    assert "even over the frame" in found.words[0]


def test_a_wide_winged_star_has_a_width_between_core_and_wings() -> None:
    """Moffat 1969, A&A 3, 455: β = 3 has FWHM = 2γ·√(2^(1/3) − 1)."""
    dice = np.random.default_rng(4)
    light = dice.normal(300.0, 3.0, (ROWS, COLUMNS))
    gamma = 2.6
    for x, y in ((200.2, 150.4), (500.7, 300.1), (700.3, 480.9)):
        _add(light, Moffat2D(1.0, x, y, gamma, 3.0), x, y, 20_000.0)
    stars = field_stars(light.astype(np.float32))
    true = 2 * gamma * math.sqrt(2 ** (1 / 3) - 1)
    assert len(stars) == 3
    assert stars.fwhm_px == pytest.approx([true] * 3, rel=0.15)


@pytest.mark.parametrize(
    ("across", "down", "side"),
    [(0.25, 0.0, "right"), (-0.2, -0.2, "upper left"), (0.0, 0.25, "bottom")],
)
def test_a_known_tilt_is_found_with_its_size_and_side(
    across: float, down: float, side: str
) -> None:
    found = measured(frame(across=across, down=down))
    assert found.width is not None
    part = found.width.one_sided
    true = FWHM_PER_SIGMA * math.hypot(across, down)
    assert part.sure
    assert part.size == pytest.approx(true, abs=max(4 * part.sigma, 0.03 * true))
    assert not found.width.all_round.sure or abs(found.width.all_round.size) < 0.1 * part.size
    assert part.angle_deg is not None
    assert toward(part.angle_deg) == side
    assert f"one-sided: wider toward the {side}" in found.words[0]


def test_a_round_pattern_is_not_called_tilt() -> None:
    found = measured(frame(outward=0.4))
    assert found.width is not None
    assert found.width.all_round.size == pytest.approx(0.4 * FWHM_PER_SIGMA, rel=0.06)
    assert any("alike on all sides" in words for words in found.words)
    assert not any("tilt of the sensor" in words for words in found.words)


def test_both_at_once_are_separated_and_the_doubt_is_told() -> None:
    found = measured(frame(across=0.2, outward=0.4))
    assert found.width is not None
    assert found.width.one_sided.size == pytest.approx(0.2 * FWHM_PER_SIGMA, rel=0.1)
    assert found.width.all_round.size == pytest.approx(0.4 * FWHM_PER_SIGMA, rel=0.1)
    assert any("looks like both together" in words for words in found.words)


def test_stated_errors_hold_on_many_frames() -> None:
    """Of the three numbers of a tilt of known size, most lie within two standard errors."""
    away = []
    for seed in range(20, 28):
        width = measured(frame(60, across=0.15, seed=seed)).width
        assert width is not None
        away.append(abs(width.one_sided.size - 0.15 * FWHM_PER_SIGMA) / width.one_sided.sigma)
    assert np.median(away) < 2.0
    assert max(away) < 6.0


def test_saturated_stars_are_left_out() -> None:
    clipped = np.minimum(frame(), np.float32(1300.0))
    assert 0 < len(field_stars(clipped)) < len(field_stars(frame()))
    assert measured(clipped).fwhm_px == pytest.approx(1.6 * FWHM_PER_SIGMA, rel=0.02)


def test_stars_drawn_out_alike_everywhere_point_to_tracking() -> None:
    found = measured(frame(drawn_out=0.12))
    assert found.shape is not None
    assert found.shape.common.size == pytest.approx(1 - (1 - 0.06) / (1 + 0.06), abs=0.02)
    assert found.shape.common.angle_deg == pytest.approx(30.0, abs=4.0)
    assert any("in one direction everywhere" in words for words in found.words)


def test_stars_drawn_out_from_the_middle_point_to_the_optics() -> None:
    found = measured(frame(radial=0.25))
    assert any("toward the middle" in words and "not tracking" in words for words in found.words)


def test_with_few_stars_nothing_is_claimed() -> None:
    found = measured(frame(9))
    assert found.ok
    assert found.width is None
    assert "can't be told apart with" in found.words[0]


def test_an_empty_frame_is_refused_with_what_to_do() -> None:
    found = measured(frame(0))
    assert not found.ok
    assert "expose" in found.reason


def test_widths_are_shown_in_arcseconds_where_the_scale_is_known() -> None:
    found = measured(frame(), 0.5)
    assert found.shown(4.0) == "2.00″"
    assert measured(frame()).shown(4.0) == "4.00 px"
    with pytest.raises(BadInput, match="scale"):
        measured(frame(), -1.0)


def test_a_real_globular_cluster_is_measured() -> None:
    """M13 of a photographic survey, shipped with astropy's tests (BSD-3): stars 2.9 px wide by
    SEP's second moments."""
    tests = Path(astropy.__file__).parent / "io" / "fits" / "hdu" / "compressed" / "tests"
    found = measure_field(read_picture(tests / "data" / "m13.fits"), 1.0)
    assert found.ok
    assert found.stars >= 12
    assert found.fwhm_px == pytest.approx(2.9, abs=0.6)
