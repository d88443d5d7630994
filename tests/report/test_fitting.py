"""Slopes within nights, and how a mirror cools."""

import math
import random
from datetime import date

import numpy as np
import pytest

from logbook.report.fitting import by_month, cooling_hours, slope


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


@pytest.mark.parametrize("hours", [0.7, 1.5, 4.0])
def test_a_mirror_that_cools_by_newtons_law_tells_its_time(hours: float) -> None:
    """Source: Newton's law of cooling, lead = lead₀ · exp(−t/τ)."""
    points = [
        (at / 2.0, lead * math.exp(-at / 2.0 / hours), night)
        for night, lead in enumerate((9.0, 5.0))
        for at in range(5)
    ]
    found = cooling_hours(points)
    assert found is not None
    assert found.a_unit == pytest.approx(hours)


def test_a_mirror_that_does_not_cool_tells_no_time() -> None:
    assert cooling_hours([(0.0, 2.0, 0), (1.0, 2.0, 0), (2.0, 2.5, 0)]) is None
    assert cooling_hours([(0.0, 0.2, 0), (1.0, 0.1, 0)]) is None


def test_months_are_means_in_order() -> None:
    points = [(date(2025, 4, 3), 2.0), (date(2025, 3, 9), 1.0), (date(2025, 4, 28), 3.0)]
    assert by_month(points) == [(date(2025, 3, 1), 1.0), (date(2025, 4, 1), 2.5)]
