"""Slopes within nights, and how a mirror cools."""

from __future__ import annotations

import math
import random
from datetime import date
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.report.fitting import (
    by_month,
    cooling_of_parts,
    slope,
    slopes_of_parts,
)

if TYPE_CHECKING:
    from logbook.report.fitting import Floats, Whole


def test_a_slope_is_that_of_least_squares_with_a_level_for_each_night() -> None:
    """Held against numpy's least squares with a column for each night."""
    chance = random.Random(3)
    points = [
        (x, -24.0 * x + 500.0 * night + chance.gauss(0.0, 3.0), night)
        for night in range(4)
        for x in (chance.uniform(-5.0, 15.0) for _ in range(6))
    ]
    columns = [[x, *(float(night == each) for each in range(4))] for x, _, night in points]
    heights = np.array([y for _, y, _ in points])
    matrix = np.array(columns)
    wanted, rest, *_ = np.linalg.lstsq(matrix, heights, rcond=None)
    variance = rest[0] / (len(points) - 5)
    sigma = math.sqrt(variance * np.linalg.inv(matrix.T @ matrix)[0, 0])
    found = slope(points)
    assert found is not None
    assert found.a_unit == pytest.approx(wanted[0])
    assert found.sigma == pytest.approx(sigma)
    assert found.count == 24


@pytest.mark.parametrize(
    "points",
    [[], [(1.0, 2.0, 0)], [(1.0, 2.0, 0), (2.0, 3.0, 1)], [(1.0, 2.0, 0), (1.0, 3.0, 0)]],
    ids=["none", "one", "one a night", "no spread"],
)
def test_no_slope_where_none_can_be_told(points: list[tuple[float, float, int]]) -> None:
    assert slope(points) is None


def test_two_points_make_a_slope_without_an_error() -> None:
    found = slope([(0.0, 5.0, 0), (2.0, 1.0, 0)])
    assert found is not None
    assert (found.a_unit, found.sigma) == (-2.0, 0.0)


Point = tuple[float, float, int]


def _columns(points: list[Point]) -> tuple[Floats, Floats, Whole]:
    x, y, night = zip(*points, strict=True) if points else ((), (), ())
    return np.array(x, float), np.array(y, float), np.array(night, np.int64)


@given(
    st.lists(
        st.tuples(st.integers(-40, 40), st.integers(-9000, 9000), st.integers(0, 9)), max_size=60
    )
)
def test_the_slopes_of_many_months_at_once_are_those_of_each(read: list[Point]) -> None:
    """Held against `slope`, month by month; three nights are a month."""
    x, y, night = _columns([(x / 4.0, y / 8.0, night) for x, y, night in read])
    found = slopes_of_parts(x, y, night, night // 3)
    for month in range(4):
        rows = zip(x.tolist(), y.tolist(), night.tolist(), strict=True)
        alone = slope([each for each in rows if each[2] // 3 == month])
        assert (alone is None) == (month not in found)
        if alone is not None:
            assert found[month].count == alone.count
            assert found[month].a_unit == pytest.approx(alone.a_unit, rel=1e-9, abs=1e-9)
            assert found[month].sigma == pytest.approx(alone.sigma, rel=1e-6, abs=1e-4)


@pytest.mark.parametrize("hours", [0.7, 1.5, 4.0])
def test_a_mirror_that_cools_by_newtons_law_tells_its_time(hours: float) -> None:
    """Source: Newton's law of cooling, lead = lead₀ · exp(−t/τ)."""
    points = [
        (480_000.0 + at / 4.0, lead * math.exp(-at / 4.0 / hours), night)
        for night, lead in enumerate((9.0, 5.0))
        for at in range(5)
    ]
    at, lead, night = _columns(points)
    found = cooling_of_parts(at, lead, night, np.zeros_like(night))
    assert found[0].a_unit == pytest.approx(hours)


def test_a_mirror_that_does_not_cool_tells_no_time() -> None:
    for points in ([(0.0, 2.0, 0), (1.0, 2.0, 0), (2.0, 2.5, 0)], [(0.0, 0.2, 0), (1.0, 0.1, 0)]):
        at, lead, night = _columns(points)
        assert cooling_of_parts(at, lead, night, np.zeros_like(night)) == {}


def test_months_are_means_in_order() -> None:
    points = [(date(2025, 4, 3), 2.0), (date(2025, 3, 9), 1.0), (date(2025, 4, 28), 3.0)]
    assert by_month(points) == [(date(2025, 3, 1), 1.0), (date(2025, 4, 1), 2.5)]
