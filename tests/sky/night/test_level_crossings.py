"""Every passage of a level is found, also those that only just happen."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.sky.night.arrays import Floats
from logbook.sky.night.level_crossings import Curve, passages

SECOND = 1.0 / 86400.0


def wave(height: float, turns_a_day: float, phase: float) -> Curve:
    def curve(mjd: Floats) -> Floats:
        return height * np.cos(2.0 * np.pi * (turns_a_day * (mjd - 61000.0) + phase))

    return curve


@given(
    height=st.floats(1.0, 90.0),
    phase=st.floats(0.0, 1.0),
    part=st.floats(-1.5, 1.5).filter(lambda part: abs(abs(part) - 1.0) > 1e-9),
)
def test_a_star_rises_and_sets_once_a_turn(height: float, phase: float, part: float) -> None:
    curve = wave(height, 1.0, phase)
    found = passages(curve, 61000.0, 61001.0, [part * height]).crossings[0]
    assert len(found) == (2 if abs(part) < 1.0 else 0)
    instants = np.array([each.mjd for each in found])
    if len(found):
        slow = height * 2.0 * np.pi * np.sqrt(1.0 - part**2) * 2.0 * SECOND
        assert np.max(np.abs(curve(instants) - part * height)) <= max(slow, 1e-9 * height)


@pytest.mark.parametrize("seconds", [1.0, 10.0, 100.0, 400.0])
def test_a_dip_much_shorter_than_the_step_is_found(seconds: float) -> None:
    half_turn = np.pi * seconds * SECOND
    level = np.cos(half_turn)
    for phase in np.linspace(0.0, 1.0, 23):
        found = passages(wave(1.0, 1.0, phase), 61000.25, 61001.25, [level]).crossings[0]
        lengths = [b.mjd - a.mjd for a, b in zip(found[::2], found[1::2], strict=True)]
        if found[:1] and found[0].rising:
            assert lengths == pytest.approx([seconds * SECOND], abs=0.1 * SECOND)


def test_levels_are_found_together_and_in_order() -> None:
    curve = wave(50.0, 1.0, 0.0)
    found = passages(curve, 61000.0, 61001.0, [-6.0, -12.0, -60.0])
    assert [len(each) for each in found.crossings] == [2, 2, 0]
    (down, up), (deeper, higher) = found.crossings[:2]
    assert down.mjd < deeper.mjd < higher.mjd < up.mjd
    assert not down.rising
    assert up.rising
    assert found.spans(0, -6.0, above=False) == [(down.mjd, up.mjd)]
    assert found.spans(0, -6.0, above=True) == [(61000.0, down.mjd), (up.mjd, 61001.0)]
    assert found.spans(2, -60.0, above=True) == [(61000.0, 61001.0)]
    assert found.spans(2, -60.0, above=False) == []
