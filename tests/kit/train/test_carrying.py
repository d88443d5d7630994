"""Balance, payload, dew shield, cooling and the cautions that follow from them."""

import math
import random
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from logbook.kit.optics.dew_shield import clear_width_mm, dew_shield, sky_view
from logbook.kit.parts.materials import material
from logbook.kit.parts.part import Part, Placement, Train
from logbook.kit.thermal.cooling import cool_down, minutes_to, tau_s
from logbook.kit.train.balance import arm_mm, balance, centre_mm, place_for_mm, weight_for_kg
from logbook.kit.train.cautions import SUN
from logbook.kit.train.payload import payload
from logbook.kit.train.sheet import Assumed, sheet
from tests.kit.made import CAMERA, FOCUSER, TUBE, part, ring

MASSES = st.floats(0.01, 30.0)
PLACES = st.floats(-500.0, 2000.0)
RAIL = part("Rail", "dovetail", width_mm=75, length_mm=300, mass_kg=0.9)
SADDLE = part("Saddle", "saddle", width_mm=76, mass_kg=0.8)
MOUNT = part("Mount", "mount", payload_kg=30, mass_kg=16)
WEIGHT = part("Weight", "counterweight", mass_kg=3)
GUIDE = part("Guide", "guide telescope", mass_kg=2)


# Balance: the lever, sum(m x) = 0 about the axis


def test_a_weight_in_front_moves_the_centre_forward() -> None:
    """1.2 kg at 0.45 m on a 12 kg tube: 40.9 mm; arithmetic of the lever."""
    assert centre_mm([(12.0, 0.0), (1.2, 450.0)]) == pytest.approx(40.9, abs=0.05)


def test_a_counterweight_on_its_shaft() -> None:
    """13.2 kg at 0.25 m are balanced by 5 kg at 0.66 m."""
    assert arm_mm(13.2, 250.0, 5.0) == pytest.approx(660.0)


@given(st.lists(st.tuples(MASSES, PLACES), min_size=1, max_size=8), MASSES, PLACES)
def test_a_part_moved_as_told_brings_the_centre_there(
    others: list[tuple[float, float]], mass_kg: float, at_mm: float
) -> None:
    loads = [*others, (mass_kg, at_mm)]
    whole_kg, centre = sum(mass for mass, _ in loads), centre_mm(loads)
    moved = place_for_mm(whole_kg, centre, 100.0, mass_kg, at_mm)
    assert centre_mm([*others, (mass_kg, moved)]) == pytest.approx(100.0, abs=1e-5)


@given(st.lists(st.tuples(MASSES, PLACES), min_size=1, max_size=8))
def test_a_weight_as_heavy_as_told_brings_the_centre_there(
    loads: list[tuple[float, float]],
) -> None:
    centre = centre_mm(loads)
    needed = weight_for_kg(sum(mass for mass, _ in loads), centre, centre + 20.0, centre + 300.0)
    assert needed > 0
    assert centre_mm([*loads, (needed, centre + 300.0)]) == pytest.approx(centre + 20.0, abs=1e-5)


def test_nothing_has_no_centre() -> None:
    with pytest.raises(ValueError, match="weighs"):
        centre_mm([])
    with pytest.raises(ValueError, match="weighs"):
        arm_mm(13.2, 250.0, 0.0)


def test_the_light_path_hangs_behind_the_tube() -> None:
    """Tube 9.4 kg at 320, focuser 0.9 at -40, ring 0.05 at -100, camera 0.62 at -137.5 mm."""
    found = balance(Train("native", "camera", (TUBE, FOCUSER, ring(40), CAMERA)))
    assert found is not None
    places = {load.name: load.along_mm for load in found.loads}
    assert places == {
        "Long tube": 320.0, "Focuser": -40.0, "Ring 40": -100.0, "Night camera": -137.5,
    }  # fmt: skip
    expected = (9.4 * 320 - 0.9 * 40 - 0.05 * 100 - 0.62 * 137.5) / (9.4 + 0.9 + 0.05 + 0.62)
    assert found.centre_mm == pytest.approx(expected)
    assert all(load.assumed for load in found.loads)
    assert (found.rail, found.saddle_mm, found.off_mm) == (None, None, None)


def on_a_saddle(saddle_mm: float, *more: Part, placements: tuple[Placement, ...] = ()) -> Train:
    return Train(
        "native", "camera", (TUBE, FOCUSER, CAMERA), (RAIL, SADDLE, *more),
        (Placement("Saddle", along_tube_mm=saddle_mm), *placements),
    )  # fmt: skip


def test_back_heavy_is_said_with_how_far_to_slide() -> None:
    found = balance(on_a_saddle(320.0))
    assert found is not None
    assert found.rail == (170.0, 470.0)
    assert found.off_mm is not None
    assert found.off_mm < 0
    assert f"back-heavy by {-found.off_mm:.0f} mm: slide the tube that far forward" in (
        found.grip_words
    )
    assert any("at the rail's front end" in words for words in found.helps)


def test_a_guide_telescope_is_told_where_it_must_sit() -> None:
    train = on_a_saddle(300.0, GUIDE, placements=(Placement("Guide", along_tube_mm=300.0),))
    found = balance(train)
    assert found is not None
    assert found.off_mm is not None
    at_mm = 300.0 - found.off_mm * found.mass_kg / 2.0
    assert 300.0 < at_mm <= 640.0
    assert f"or Guide {at_mm:.0f} mm in front of the back plate (now 300 mm)" in found.helps
    moved = replace(train, placements=(train.placements[0], Placement("Guide", None, at_mm)))
    balanced = balance(moved)
    assert balanced is not None
    assert balanced.off_mm == pytest.approx(0.0, abs=1e-9)
    assert "over the saddle" in balanced.grip_words
    assert balanced.helps == ()


def test_a_weight_from_the_shelf_is_told_where_it_must_sit() -> None:
    found = balance(on_a_saddle(320.0), [WEIGHT, replace(WEIGHT, name="Lent", state="lent")])
    assert found is not None
    assert any(words.startswith("or Weight (3.0 kg)") for words in found.helps)
    assert not any("Lent" in words for words in found.helps)


def test_a_weight_on_its_shaft_is_no_load_of_the_tube_and_one_placed_along_it_is() -> None:
    shaft = balance(on_a_saddle(300.0, WEIGHT))
    along = balance(on_a_saddle(300.0, WEIGHT, placements=(Placement("Weight", None, 600.0),)))
    assert shaft is not None
    assert along is not None
    assert along.mass_kg == pytest.approx(shaft.mass_kg + 3.0)
    assert along.centre_mm > shaft.centre_mm


def test_what_is_left_out_is_said() -> None:
    found = balance(on_a_saddle(300.0, GUIDE, part("Finder", "finder")))
    assert found is not None
    assert found.unknown == ("the place of Guide", "the mass of Finder")


def test_a_measured_balance_point_counts() -> None:
    tube = TUBE.with_number("balance_mm", 250.0)
    found = balance(Train("bare", "camera", (tube,)))
    assert found is not None
    assert found.centre_mm == 250.0
    assert not found.loads[0].assumed


def test_nothing_weighed_has_no_balance() -> None:
    assert balance(Train("a", "camera", (part("T", "telescope"),))) is None
    assert balance(Train("a", "camera", (CAMERA,))) is None


# Payload (common practice, no source)


def test_half_the_payload_for_a_camera() -> None:
    found = payload(12.0, 20.0)
    assert (found.allowed_kg, found.spare_kg) == (10.0, -2.0)
    assert "2.0 kg too heavy" in found.words
    assert "common practice" in found.words
    assert payload(12.0, 20.0, 0.75).spare_kg == pytest.approx(3.0)


@pytest.mark.parametrize("share", [0.0, 1.1, -0.5, math.nan])
def test_a_share_that_cannot_be_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="no such load"):
        payload(12.0, 20.0, share)


# Dew shield


@pytest.mark.parametrize(
    ("ratio", "seen"), [(0.5, 0.3820), (1.0, 0.1716), (1.5, 0.0917), (2.0, 0.0557), (3.0, 0.0263)]
)
def test_sky_left_above_a_shield(ratio: float, seen: float) -> None:
    """View factor of equal coaxial discs (Incropera & DeWitt, ch. 13)."""
    assert sky_view(203.0 * ratio, 203.0) == pytest.approx(seen, abs=5.1e-5)


def test_the_view_factor_agrees_with_rays_thrown_at_random() -> None:
    """Diffuse rays (cosine law) from points of the lower disc: the share that leaves at the top."""
    drawn, thrown, passed = random.Random(5), 20_000, 0
    for _ in range(thrown):
        start, around = math.sqrt(drawn.random()), 2.0 * math.pi * drawn.random()
        sine = math.sqrt(drawn.random())
        out = 2.0 * sine / math.sqrt(1.0 - sine**2)  # at a height of one diameter
        x, y = start + out * math.cos(around), out * math.sin(around)
        passed += x * x + y * y <= 1.0
    assert passed / thrown == pytest.approx(sky_view(1.0, 1.0), abs=0.008)


def test_no_shield_sees_the_whole_sky() -> None:
    assert sky_view(0.0, 203.0) == 1.0
    with pytest.raises(ValueError, match="cannot be"):
        sky_view(-1.0, 203.0)


def test_words_of_a_shield() -> None:
    short = dew_shield(203.0, 200.0, notch_mm=70.0, rail_width_mm=75.0)
    assert "short of" in short.words
    assert short.wanted_mm == (304.5, 406.0)
    assert "narrower than the 75 mm rail" in short.notch_words
    fine = dew_shield(203.0, 395.0, notch_mm=80.0, rail_width_mm=75.0)
    assert "short of" not in fine.words
    assert "clears" in fine.notch_words
    none = dew_shield(203.0, None, rail_width_mm=75.0)
    assert (none.length_mm, none.sky_view) == (None, 1.0)
    assert "304 to 406 mm" in none.words
    assert "more than 75 mm" in none.notch_words


def test_a_shield_that_cuts_the_field_is_said() -> None:
    """203 + 2 · 395 · tan(0.5°) = 209.9 mm for a field of 1°."""
    assert clear_width_mm(203.0, 395.0, 1.0) == pytest.approx(209.89, abs=0.01)
    tight = dew_shield(203.0, 395.0, inner_diameter_mm=206.0, field_deg=1.0)
    assert "cuts the field: 210 mm" in tight.words
    wide = dew_shield(203.0, 395.0, inner_diameter_mm=236.0, field_deg=1.0)
    assert "cuts" not in wide.words


# Cooling


def test_time_constant_of_a_borosilicate_plate() -> None:
    """25 mm, both faces, 10 W/(m² K): 2314 s; 10 K to 0.5 K in 115.5 min; one face twice as long
    (Incropera & DeWitt, ch. 5, lumped capacitance; arithmetic)."""
    glass = material("borosilicate")
    assert glass is not None
    both = tau_s(glass, 25.0, 2, 10.0)
    assert both == pytest.approx(2314.0, abs=0.5)
    assert minutes_to(both / 60.0, 10.0, 0.5) == pytest.approx(115.5, abs=0.05)
    assert tau_s(glass, 25.0, 1, 10.0) == pytest.approx(2.0 * both)


def test_the_lumped_plate_is_close_to_a_slab() -> None:
    """First root of z tan z = Bi (Incropera & DeWitt, ch. 5, plane wall), 1.14 W/(m K): the slab is
    a few hundredths slower."""
    half_m, conductivity = 0.0125, 1.14
    biot = 10.0 * half_m / conductivity
    root = brentq(lambda z: z * math.tan(z) - biot, 1e-6, 1.5)
    slab_s = half_m**2 / (conductivity / (2230.0 * 830.0)) / root**2
    glass = material("borosilicate")
    assert glass is not None
    assert slab_s == pytest.approx(tau_s(glass, 25.0, 2, 10.0), rel=0.05)
    assert slab_s > tau_s(glass, 25.0, 2, 10.0)


def test_the_slowest_of_mirror_and_tube_counts() -> None:
    tube = TUBE.with_number("tube_wall_mm", 2.0)
    thin = cool_down(tube)
    assert thin is not None
    assert (thin.part, thin.material) == ("tube wall", "aluminium")
    with_mirror = tube.with_word("mirror_material", "borosilicate")
    thick = cool_down(with_mirror.with_number("mirror_thickness_mm", 25.0))
    assert thick is not None
    assert (thick.part, thick.material) == ("primary", "borosilicate")
    assert thick.minutes[0] == pytest.approx(115.5, abs=0.05)
    assert thick.minutes[1] == pytest.approx(231.0, abs=0.1)
    assert "expectation" in thick.words
    assert cool_down(TUBE) is None


def test_a_learned_constant_replaces_the_expectation() -> None:
    found = cool_down(TUBE, learned_tau_min=40.0)
    assert found is not None
    assert found.learned
    assert found.minutes[0] == found.minutes[1] == pytest.approx(119.8, abs=0.05)
    assert "own readings" in found.words


def test_a_tube_that_is_cool_waits_no_more() -> None:
    assert minutes_to(40.0, 0.3, 0.5) == 0.0
    assert minutes_to(40.0, -2.0, 0.5) == 0.0


# Cautions


def test_cautions_in_words() -> None:
    heavy = replace(TUBE, name="Giant").with_number("mass_kg", 24.0)
    train = Train(
        "heavy", "camera", (heavy, FOCUSER, CAMERA.with_word("sky_side_thread", "M42x1 male")),
        (RAIL.with_number("width_mm", 100.0), SADDLE, MOUNT, WEIGHT),
        (Placement("Saddle", None, 100.0),),
    )  # fmt: skip
    words = " / ".join(sheet(train).cautions)
    for said in ("differ in size", "more than the mount should carry", "lift it with two",
                 "counterweights go on before the tube", "front-heavy", "is wider than Saddle",
                 "the Sun"):  # fmt: skip
        assert said in words
    assert sheet(train).cautions[-1] == SUN


def test_a_light_train_has_the_sun_alone() -> None:
    assert sheet(Train("bare", "camera", (TUBE, FOCUSER, CAMERA))).cautions == (SUN,)


def test_the_share_can_be_set_and_is_whole_for_the_eye() -> None:
    train = on_a_saddle(300.0, MOUNT)
    for share, allowed_kg in ((0.5, 15.0), (0.7, 21.0)):
        load = sheet(train, Assumed(payload_share=share)).payload
        assert load is not None
        assert load.allowed_kg == pytest.approx(allowed_kg)
    eye = sheet(replace(train, kind="visual")).payload
    assert eye is not None
    assert eye.share == 1.0
