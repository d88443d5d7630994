"""Focus zones, drift with temperature and the exit pupil, against paraxial ray traces.

Worked telescope: aperture 203 mm, focal length 1624 mm, primary f/3 (609 mm), mirrors 377.455 mm
apart, focus 240 mm behind the primary (Schroeder, Astronomical Optics, ch. 2). Generic numbers.
"""

from dataclasses import replace

import pytest

from logbook.kit.optics.focus import (
    exit_pupil_distance_mm,
    focus_drift,
    focus_zones,
    mirror_drift_um_per_k,
    tube_drift_um_per_k,
)
from logbook.kit.parts.materials import Material, material
from logbook.kit.parts.part import Train
from logbook.kit.train.focus import drift_of, gain, zones_of
from logbook.kit.train.focus_reach import focus_reach
from logbook.kit.train.light_cone import Gaps, Lens, lenses
from tests.kit.made import CAMERA, FOCUSER, REDUCER, TUBE, part, ring

F_MM, PRIMARY_MM, APART_MM = 1624.0, 609.0, 377.455
SECONDARY_MM = 1.0 / (1.0 / (609.0 - 377.455) - 1.0 / (1624.0 / 609.0 * (609.0 - 377.455)))


def of(name: str) -> Material:
    found = material(name)
    assert found is not None
    return found


def focus_behind_secondary_mm(apart_mm: float, primary_mm: float, secondary_mm: float) -> float:
    """Paraxial: a ray at height 1 is bent at the primary, then at the secondary."""
    slope = -1.0 / primary_mm
    height = 1.0 + slope * apart_mm
    slope += height / secondary_mm
    return -height / slope


def test_zones_at_f_8() -> None:
    """4 λN² = 140.8 µm, 4.88 λN² = 171.7 µm, 2 N f θ = 251.9 µm for 2″; 0.55 µm, arithmetic."""
    quarter, airy, seeing = focus_zones(8.0, F_MM, 2.0, step_um=2.0)
    assert quarter.length_um == pytest.approx(140.8, abs=0.05)
    assert airy.length_um == pytest.approx(171.8, abs=0.1)
    assert seeing.length_um == pytest.approx(251.9, abs=0.05)
    assert quarter.steps == pytest.approx(70.4)
    assert {quarter.name, airy.name, seeing.name} == {"quarter wave", "Airy blur", "seeing blur"}


def test_zones_at_f_5_4() -> None:
    quarter, airy, _ = focus_zones(5.4, 1000.0, 2.0)
    assert quarter.length_um == pytest.approx(64.15, abs=5e-3)
    assert airy.length_um == pytest.approx(78.3, abs=0.06)
    assert quarter.steps is None


@pytest.mark.parametrize(
    ("tube", "um_per_k"), [("aluminium", -78.0), ("steel", -38.6), ("carbon", -3.3)]
)
def test_drift_of_rigid_mirrors(tube: str, um_per_k: float) -> None:
    """-(m² + 1) d a - b a (Schroeder, ch. 2), computed by hand for three expansions."""
    found = mirror_drift_um_per_k(F_MM, PRIMARY_MM, APART_MM, of(tube), None)
    assert found == pytest.approx(um_per_k, abs=0.1)


def test_drift_with_borosilicate_mirrors() -> None:
    """0.672 mm for 10 K."""
    found = mirror_drift_um_per_k(F_MM, PRIMARY_MM, APART_MM, of("aluminium"), of("borosilicate"))
    assert found == pytest.approx(-67.2, abs=0.1)


@pytest.mark.parametrize("tube", ["aluminium", "steel", "stainless steel"])
@pytest.mark.parametrize("glass", ["borosilicate", "fused silica", "soda-lime"])
def test_drift_agrees_with_a_traced_ray(tube: str, glass: str) -> None:
    """Everything grows for one kelvin; the ray is traced anew. The focuser sits on the tube."""
    grown, mirrors = (1.0 + of(name).expansion_um_m_k * 1e-6 for name in (tube, glass))
    before = focus_behind_secondary_mm(APART_MM, PRIMARY_MM, SECONDARY_MM) - APART_MM
    after = focus_behind_secondary_mm(
        APART_MM * grown, PRIMARY_MM * mirrors, SECONDARY_MM * mirrors
    )
    moved_um = (after - APART_MM * grown - before * grown) * 1000.0
    found = mirror_drift_um_per_k(F_MM, PRIMARY_MM, APART_MM, of(tube), of(glass))
    assert found == pytest.approx(moved_um, rel=1e-3)


def test_one_material_throughout_does_not_drift() -> None:
    steel = of("steel")
    assert mirror_drift_um_per_k(F_MM, PRIMARY_MM, APART_MM, steel, steel) == 0.0


def test_a_lens_in_a_tube_drifts_by_its_length() -> None:
    """480 mm of aluminium (23.6e-6/K): 11.3 µm for a kelvin, arithmetic."""
    assert tube_drift_um_per_k(480.0, of("aluminium")) == pytest.approx(-11.33, abs=5e-3)


def test_words_of_the_drift() -> None:
    """At f/8 the zone of 140.8 µm is used up by 1.8 K (aluminium) and 43 K (carbon fibre)."""
    found = focus_drift(-78.0, "aluminium", 140.8, 2.0)
    assert found.kelvin_per_zone == pytest.approx(1.8, abs=0.01)
    assert found.steps_per_k == pytest.approx(-39.0)
    assert "out for each K of cooling" in found.words
    assert focus_drift(-3.3, "carbon fibre", 140.8).kelvin_per_zone == pytest.approx(43, abs=0.5)
    assert focus_drift(5.0, "wood", 140.8).words.startswith("5.0 µm in")
    assert focus_drift(0.0, "wood", 140.8).kelvin_per_zone is None


def test_exit_pupil_by_a_chief_ray() -> None:
    """A ray from the primary's middle, bent at the secondary, seems to come from the pupil; and the
    pupil's width over its distance is the focal ratio."""
    slope = 1.0
    height = slope * APART_MM
    slope_after = slope + height / SECONDARY_MM
    behind_secondary_mm = height / slope_after
    to_focus_mm = focus_behind_secondary_mm(APART_MM, PRIMARY_MM, SECONDARY_MM)
    found = exit_pupil_distance_mm(F_MM, PRIMARY_MM, APART_MM)
    assert found == pytest.approx(to_focus_mm + behind_secondary_mm, rel=1e-9)
    pupil_mm = 203.0 * behind_secondary_mm / APART_MM
    assert found / pupil_mm == pytest.approx(8.0, rel=1e-9)


# Of a train


def test_a_reducer_behind_the_focuser_leaves_the_steps_as_they_are() -> None:
    """The focus moves by the square of the factor at the sensor, and the zone is as much shorter
    (longitudinal magnification, any optics text)."""
    plain = Train("native", "camera", (TUBE, FOCUSER, ring(62.5), CAMERA))
    reduced = Train("reduced", "camera", (TUBE, FOCUSER, REDUCER, ring(67.5), CAMERA))
    found = lenses(reduced, Gaps())
    factor = found[0].factor
    assert factor == pytest.approx(1 - 85 / 300)
    assert gain(reduced, found) == pytest.approx(factor**2)
    ahead = Train("ahead", "camera", (TUBE, REDUCER, FOCUSER, CAMERA))
    assert gain(ahead, lenses(ahead, Gaps())) == 1.0
    one = zones_of(plain, (), 8.0, F_MM, 2.0, 0.55)
    other = zones_of(reduced, found, 8.0 * factor, F_MM * factor, 2.0, 0.55)
    assert [zone.steps for zone in other] == pytest.approx([zone.steps for zone in one])
    drifts = (drift_of(plain, (), one), drift_of(reduced, found, other))
    assert drifts[0] is not None
    assert drifts[1] is not None
    assert drifts[0].um_per_k == pytest.approx(drifts[1].um_per_k)
    assert drifts[0].kelvin_per_zone == pytest.approx(drifts[1].kelvin_per_zone)


def test_drift_is_not_known_without_material_or_spacing() -> None:
    bare = TUBE.without("mirror_spacing_mm", "stated")
    assert drift_of(Train("a", "camera", (bare, CAMERA)), (), ()) is None
    odd = TUBE.with_word("tube_material", "cardboard")
    assert drift_of(Train("a", "camera", (odd, CAMERA)), (), ()) is None


def test_materials_by_other_spellings() -> None:
    assert material("Aluminum") == of("aluminium")
    assert material("carbon fiber") == of("carbon fibre")
    assert material("unobtainium") is None
    assert material(None) is None


# Reaching focus


def test_how_far_the_focuser_is_drawn_out() -> None:
    """160 mm of back focus less 80 + 40 + 17.5 = 22.5 mm."""
    found = focus_reach(Train("native", "camera", (TUBE, FOCUSER, ring(40), CAMERA)), ())
    assert found is not None
    assert found.draw_mm == pytest.approx(22.5)
    assert "in focus drawn out 22.5 of 40 mm" in found.words


@pytest.mark.parametrize(
    ("length_mm", "words"),
    [(70.0, "7.5 mm too long even racked in"), (10.0, "12.5 mm short even drawn out 40 mm")],
)
def test_no_focus_is_said_with_by_how_much(length_mm: float, words: str) -> None:
    found = focus_reach(Train("native", "camera", (TUBE, FOCUSER, ring(length_mm), CAMERA)), ())
    assert found is not None
    assert words in found.words


def test_a_reducer_moves_the_focus_in() -> None:
    """f 300 at 85 mm: the focus would be 118.605 mm behind it (thin lens), so 160 - 20 - 118.605
    are left for the focuser, 21.395 mm, which is shorter than its 80 mm."""
    train = Train("reduced", "camera", (TUBE, FOCUSER, REDUCER, ring(67.5), CAMERA))
    found = focus_reach(train, lenses(train, Gaps()))
    assert found is not None
    assert found.draw_mm == pytest.approx(160 - 80 - 20 - 118.605, abs=1e-3)
    assert "too long" in found.words


def test_the_lens_by_its_factor_alone() -> None:
    """s/x = M and 1/s - 1/x = 1/f: at 0.5 and 60 mm the focus is 120 mm behind and f is 120 mm."""
    lens = Lens(1, 0.5, 60.0)
    assert lens.to_native_focus_mm == pytest.approx(120.0)
    assert lens.focal_length_mm == pytest.approx(120.0)
    barlow = Lens(1, 2.0, 100.0)
    assert barlow.to_native_focus_mm == pytest.approx(50.0)
    assert barlow.focal_length_mm == pytest.approx(-100.0)


def test_where_too_little_is_known_nothing_is_said() -> None:
    bare = part("Focuser", "focuser")
    assert focus_reach(Train("a", "camera", (TUBE, bare, CAMERA)), ()) is None
    assert focus_reach(Train("a", "camera", (TUBE, CAMERA)), ()) is None
    assert focus_reach(Train("a", "visual", (TUBE, FOCUSER)), ()) is None
    no_travel = replace(FOCUSER, values=FOCUSER.values[:1])
    found = focus_reach(Train("a", "camera", (TUBE, no_travel, CAMERA)), ())
    assert found is not None
    assert found.words == "in focus drawn out 62.5 mm"
