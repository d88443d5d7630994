"""How far out of focus, against the two-mirror textbook and a ray trace of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.startest.picture.defocus import defocus, radius_for


def test_ten_millimetres_at_f8() -> None:
    """dz/N = 1.25 mm = 332.4 px of 3.76 µm across; W020 = dz/(8N²) = 35.5 waves of 0.55 µm.

    Source: Schroeder 2000, Astronomical Optics, 2nd ed.; checked there by exact ray trace."""
    found = defocus(332.4 / 2, 3.76, 8.0)
    assert found.distance_mm == pytest.approx(10.0, abs=0.005)
    assert found.waves == pytest.approx(35.5, abs=0.05)
    assert found.verdict == "too far"


@pytest.mark.parametrize(("focal_ratio", "least_mm", "most_mm"), [(8.0, 2.2, 3.4), (9.0, 2.8, 4.3)])
def test_eight_to_twelve_waves_in_millimetres(
    focal_ratio: float, least_mm: float, most_mm: float
) -> None:
    """2.2 to 3.4 mm at f/8 and 2.8 to 4.3 mm at f/9 (arithmetic of the same equations)."""
    for waves, distance_mm in ((8.0, least_mm), (12.0, most_mm)):
        found = defocus(radius_for(waves, 3.76, focal_ratio), 3.76, focal_ratio)
        assert found.distance_mm == pytest.approx(distance_mm, abs=0.06)
        assert found.verdict == "right"


@pytest.mark.parametrize(
    ("waves", "verdict", "words"),
    [
        (4.0, "too near", "diffraction fills the shadow"),
        (6.0, "too near", "further from focus"),
        (10.0, "right", "right"),
        (16.0, "too far", "nearer to focus"),
        (25.0, "too far", "fades in the noise"),
    ],
)
def test_words_say_which_way_and_how_far(waves: float, verdict: str, words: str) -> None:
    found = defocus(radius_for(waves, 3.76, 8.0), 3.76, 8.0)
    assert found.verdict == verdict
    assert words in found.words


@given(st.floats(0.5, 60.0), st.floats(1.0, 20.0), st.floats(3.0, 20.0))
def test_waves_and_radius_are_each_others_inverse(
    waves: float, pixel_um: float, focal_ratio: float
) -> None:
    found = defocus(radius_for(waves, pixel_um, focal_ratio), pixel_um, focal_ratio)
    assert found.waves == pytest.approx(waves, rel=1e-9)


@pytest.mark.parametrize("bad", [0.0, -1.0, float("nan"), float("inf")])
def test_numbers_that_cannot_be_are_refused(bad: float) -> None:
    with pytest.raises(BadInput, match="pixel"):
        defocus(50.0, bad, 8.0)
