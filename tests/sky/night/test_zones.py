"""Zones by city, and whether a place can lie in its zone.

The places are the IANA database's own: `zone.tab` and `zone1970.tab` name one for each zone, with
its coordinates (ISO 6709). The code does not read these tables.
"""

import re
from importlib import resources

import pytest

from logbook.errors import BadInput
from logbook.sky.night.zones import fits, meant_instead, zone_meant, zones_of_city

_PLACE = re.compile(r"([+-])(\d\d)(\d\d)(\d\d)?([+-])(\d{3})(\d\d)(\d\d)?")


def _angle(sign: str, degrees: str, minutes: str, seconds: str | None) -> float:
    size = int(degrees) + int(minutes) / 60 + int(seconds or 0) / 3600
    return -size if sign == "-" else size


def _places() -> dict[tuple[str, float, float], None]:
    found: dict[tuple[str, float, float], None] = {}
    for table in ("zone.tab", "zone1970.tab"):
        text = resources.files("tzdata").joinpath("zoneinfo", table).read_text(encoding="utf-8")
        for line in text.splitlines():
            if not line.startswith("#"):
                _, where, zone, *_ = line.split("\t")
                match = _PLACE.fullmatch(where)
                assert match is not None
                latitude, longitude = (
                    _angle(*match.group(1, 2, 3, 4)),
                    _angle(*match.group(5, 6, 7, 8)),
                )
                found[zone, latitude, longitude] = None
    return found


PLACES = tuple(_places())


def test_no_zone_s_own_place_is_asked_about() -> None:
    assert len(PLACES) > 400
    assert [place for place in PLACES if not fits(*place)] == []


def test_a_forgotten_sign_far_from_greenwich_and_the_date_line_is_always_noticed() -> None:
    far = [place for place in PLACES if 50.0 <= abs(place[2]) <= 130.0]
    assert len(far) > 150
    for zone, latitude_deg, longitude_deg in far:
        assert not fits(zone, latitude_deg, -longitude_deg), zone
        found = meant_instead(zone, latitude_deg, -longitude_deg)
        assert found is not None
        assert found[0] == (latitude_deg, longitude_deg)


@pytest.mark.parametrize(
    ("zone", "latitude_deg", "longitude_deg"),
    [
        ("Asia/Shanghai", 39.47, 75.99),  # Kashgar, 8 h by the clock, 5.1 h by the Sun
        ("America/Anchorage", 64.5, -165.4),  # Nome
        ("America/Adak", 51.9, -176.6),
        ("Pacific/Kiritimati", 1.87, -157.4),  # UTC+14, beyond the date line
        ("Pacific/Apia", -13.8, -171.8),
        ("Europe/Madrid", 43.37, -8.4),  # A Coruna
        ("Atlantic/Reykjavik", 64.15, -21.9),
        ("Asia/Kolkata", 27.1, 93.6),
        ("America/Argentina/Mendoza", -32.9, -68.8),
        ("Antarctica/McMurdo", -90.0, 0.0),
        ("UTC", 39.7, -105.0),
        ("Etc/GMT+7", 39.7, 105.0),
    ],
)
def test_places_whose_clocks_run_far_from_the_sun_are_left_alone(
    zone: str, latitude_deg: float, longitude_deg: float
) -> None:
    assert fits(zone, latitude_deg, longitude_deg)


@pytest.mark.parametrize(
    ("zone", "latitude_deg", "longitude_deg"),
    [
        ("Asia/Kolkata", 28.6, 77.2),
        ("America/Caracas", 10.5, -66.9),
        ("America/Lima", -12.0, -77.0),
    ],
)
def test_longitude_typed_first_is_noticed_where_the_zone_tells(
    zone: str, latitude_deg: float, longitude_deg: float
) -> None:
    assert not fits(zone, longitude_deg, latitude_deg)
    found = meant_instead(zone, longitude_deg, latitude_deg)
    assert found == ((latitude_deg, longitude_deg), "the longitude first?")


def test_a_city_names_its_zone() -> None:
    assert zone_meant("Berlin") == "Europe/Berlin"
    assert zone_meant("new york") == "America/New_York"
    assert zone_meant("Europe/Vienna") == "Europe/Vienna"


def test_a_city_of_several_zones_lists_them() -> None:
    with pytest.raises(BadInput, match=r"America/Kentucky/Louisville, America/Louisville"):
        zone_meant("Louisville")
    assert set(zones_of_city("dub")) == {"Asia/Dubai", "Europe/Dublin"}


def test_no_city_of_that_name_is_refused_as_before() -> None:
    with pytest.raises(BadInput, match="there is no time zone"):
        zone_meant("Hollow Edge")
