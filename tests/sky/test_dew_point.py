"""The dew point against the tables of the trade."""

import pytest

from logbook.sky.dew_point import dew_point_c


@pytest.mark.parametrize(
    ("air_c", "humidity", "expected_c"),
    # Psychrometric tables of meteorology, to 0.1 °C; values from memory.
    [(20.0, 50.0, 9.3), (10.0, 80.0, 6.7), (0.0, 90.0, -1.4), (30.0, 40.0, 14.9)],
)
def test_the_dew_point_is_that_of_the_tables(
    air_c: float, humidity: float, expected_c: float
) -> None:
    assert dew_point_c(air_c, humidity) == pytest.approx(expected_c, abs=0.1)


def test_saturated_air_is_at_its_dew_point_and_dry_air_has_one() -> None:
    assert dew_point_c(7.3, 100.0) == pytest.approx(7.3)
    assert dew_point_c(7.3, 0.0) == dew_point_c(7.3, 1.0)
