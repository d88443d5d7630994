"""The simulated telescope against published values, and the program's own optics against it.

Check values: Schroeder, Astronomical Optics, 2nd ed. 2000, ch. 2 and 6, for a 203 mm f/8
Ritchey–Chrétien with an f/3 primary and its focus 240 mm behind the primary's vertex.
"""

import numpy as np
import pytest

from logbook.startest.screws.prior import (
    ScrewPlace,
    Secondary,
    defocused_radius_arcsec,
    response_size,
    shift_per_tilt,
    usual_radius_arcsec,
)
from tests.startest.two_mirror import TwoMirror, screw_motion, tilted

ARCMIN = np.radians(1.0 / 60.0)
STILL = np.zeros(3)
OPTICS = TwoMirror()
SECONDARY = Secondary(
    (ScrewPlace("A", 12.0), ScrewPlace("B", 4.0), ScrewPlace("C", 8.0)),
    aperture_mm=203.0,
    focal_length_mm=1624.0,
    primary_focal_length_mm=609.0,
    obstruction_mm=68.4,
    back_focus_mm=190.0,
    screw_pitch_mm=0.7,
    screw_circle_radius_mm=20.0,
)


def test_the_traced_telescope_is_the_published_one() -> None:
    assert OPTICS.conics() == pytest.approx((-1.17253, -6.69868), abs=1e-5)
    assert OPTICS.spacing_mm == pytest.approx(377.455, abs=1e-3)


@pytest.mark.parametrize(("arcmin", "coma_arcsec"), [(1.0, 0.402), (5.0, 2.010), (10.0, 4.020)])
def test_a_tilted_secondary_shows_the_published_coma(arcmin: float, coma_arcsec: float) -> None:
    """Schroeder's 3 a (m − 1)(1 + β)/(16 N²) is 0.408″ an arcminute, traced 0.402″ at f/8."""
    traced = OPTICS.tangential_coma_arcsec(tilted(arcmin * ARCMIN, 0.0), STILL)
    assert traced == pytest.approx(coma_arcsec, rel=2e-3)


def test_a_secondary_off_the_axis_shows_the_published_coma() -> None:
    traced = OPTICS.tangential_coma_arcsec(np.eye(3), np.array([0.0, 1.0, 0.0]))
    assert traced == pytest.approx(7.554, rel=1e-3)


@pytest.mark.parametrize("defocus_mm", [-3.0, 3.0, 8.0])
def test_the_shadow_shifts_by_its_share_of_the_coma_whatever_the_defocus(
    defocus_mm: float,
) -> None:
    shift, radius = OPTICS.shadow_offset_arcsec(tilted(ARCMIN, 0.0), STILL, defocus_mm)
    assert np.hypot(*shift) == pytest.approx(shift_per_tilt(SECONDARY) * 60.0, rel=0.03)
    assert radius == pytest.approx(defocused_radius_arcsec(SECONDARY, defocus_mm), rel=0.01)


def test_the_usual_disc_is_ten_waves_and_a_bit_out_of_focus() -> None:
    """W020 = dz/(8 N²): 3 mm at f/8 is 10.7 waves of 0.55 µm."""
    usual = usual_radius_arcsec(SECONDARY)
    assert usual == pytest.approx(defocused_radius_arcsec(SECONDARY, 3.0), rel=0.01)


def test_the_plan_foretells_the_traced_answer_of_each_screw() -> None:
    """A tenth of a turn of 0.7 mm on 20 mm is 8.0 arcminutes and 3.2″ of coma."""
    angles = np.radians([(screw.clock_hour - 3.0) * 30.0 for screw in SECONDARY.screws])
    places = 20.0 * np.column_stack([np.cos(angles), np.sin(angles)])
    size, share = response_size(SECONDARY)
    for screw in range(3):
        raised = np.zeros(3)
        raised[screw] = 0.07
        rotation, shift = screw_motion(places, raised, plate_to_vertex_mm=10.0)
        traced = np.hypot(*OPTICS.shadow_offset_arcsec(rotation, shift, 3.0)[0]) / 0.1
        assert traced == pytest.approx(size, rel=share)
    assert 0.1 * size / (1.0 - (68.4 / 203.0) ** 2) == pytest.approx(3.27, abs=0.05)
