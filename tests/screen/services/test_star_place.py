"""How high a star stands: good to a degree."""

from datetime import UTC, datetime

import pytest

from logbook.screen.services.star_place import altitude_azimuth_deg


def test_venus_of_the_worked_example() -> None:
    """Meeus 1998, example 13.b: Washington, 1987 April 10, 19h21m UT.

    Azimuth 68.0337° from south, altitude 15.1249°, with apparent sidereal time.
    """
    at = datetime(1987, 4, 10, 19, 21, tzinfo=UTC)
    altitude_deg, azimuth_deg = altitude_azimuth_deg(
        347.3193375, -6.719892, 38.921389, -77.065556, at
    )
    assert altitude_deg == pytest.approx(15.1249, abs=0.01)
    assert azimuth_deg == pytest.approx(248.0337, abs=0.01)


def test_the_pole_stands_as_high_as_the_latitude() -> None:
    at = datetime(2026, 1, 1, tzinfo=UTC)
    altitude_deg, _ = altitude_azimuth_deg(37.95, 89.99, 48.2, 16.3, at)
    assert altitude_deg == pytest.approx(48.2, abs=0.02)
