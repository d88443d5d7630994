"""How an object fills the frame, and what that is worth."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.sky.framing.framing import fill_worth, frame_fill, tightest_fill

FIELD = (0.83, 0.55)


def test_fill_is_the_major_axis_over_the_short_side() -> None:
    # 33′ fill a short side of 0.55° exactly; the order of the sides does not matter.
    assert frame_fill(33.0, FIELD) == pytest.approx(1.0)
    assert frame_fill(33.0, FIELD[::-1]) == pytest.approx(1.0)
    assert np.isnan(frame_fill(np.nan, FIELD))


def test_a_long_object_fits_along_the_long_side() -> None:
    major, minor = np.array([45.0, 45.0, 45.0, np.nan]), np.array([10.0, 40.0, np.nan, np.nan])
    tightest = tightest_fill(major, minor, FIELD)
    # 45′ by 10′: 45/49.8 along the long side; 40′ do not fit into 33′; without a minor axis, round.
    assert tightest[:3] == pytest.approx([0.9036, 1.2121, 1.3636], abs=1e-4)
    assert np.isnan(tightest[3])


@given(st.floats(1e-4, 100.0))
def test_worth_is_a_share(fill: float) -> None:
    assert 0.0 < fill_worth(np.array([fill]), np.array([fill]))[0] <= 1.0


def test_worth_is_best_for_what_fills_the_frame_well() -> None:
    fills = np.array([0.005, 0.03, 0.1, 0.5, 1.1, 2.0, 6.0])
    worth = fill_worth(fills, fills)
    assert np.argmax(worth) == 3
    assert np.all(np.diff(worth[:4]) > 0.0)
    assert np.all(np.diff(worth[3:]) < 0.0)
    assert worth[-1] < 0.05
