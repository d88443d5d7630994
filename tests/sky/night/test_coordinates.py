"""The user types a place in whatever form it was found in."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.sky.night.coordinates import read_coordinates, show_coordinates

LATITUDE, LONGITUDE = 52.0 + 6.5 / 60.0, -3.7

FORMS = (
    "52.108333333 -3.7",
    "52.108333333, -3.7",
    "52.108333333;-3.7",
    "52.108333333,-3.7",
    "52.108333333/-3.7",
    "+52.108333333 -3.7",
    "52.108333333N 3.7W",
    "52.108333333 N 3.7 W",
    "52.108333333n 3.7w",
    "N52.108333333 W3.7",
    "N 52.108333333, W 3.7",
    "3.7W 52.108333333N",
    "W3.7 N52.108333333",
    "52.108333333° N, 3.7° W",
    "52.108333333° north, 3.7° west",
    "lat 52.108333333 lon -3.7",
    "Latitude: 52.108333333, Longitude: -3.7",
    "52 06 30 N 3 42 00 W",
    "52 06 30 -3 42 00",
    "52 6.5 -3 42",
    "N52 06.5 W003 42.0",
    "52:06:30 -3:42:00",
    "52:06:30N 3:42:00W",
    "52:06.5, -3:42",
    "52°06'30\" N, 3°42' W",
    "52°06′30″N 3°42′00″W",
    "52° 06’ 30” N 3° 42’ 0” W",
    "52º06'30'' N 3º42'00'' W",
    "52°06'30\"-3°42'00\"",
    "52°6.5'N 3°42'W",
    "52d06m30s N 3d42m00s W",
    "52d06m30s -3d42m",
    "52 deg 6 min 30 sec N, 3 deg 42 min W",
    "52 06 30n, 3 42 00w",
    "52°06'30\"N|3°42'00\"W",
    "52,108333333 -3,7",
    "52,108333333; -3,7",
    "52,108333333 N 3,7 W",
    "52 06,5 N 3 42,0 W",
    "52.108333333 −3.7",
)


@pytest.mark.parametrize("text", FORMS)
def test_every_usual_form_is_the_same_place(text: str) -> None:
    assert read_coordinates(text) == pytest.approx((LATITUDE, LONGITUDE), abs=1e-8)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("0 0", (0.0, 0.0)),
        ("-0 30 -0 15", (-0.5, -0.25)),
        ("90 180", (90.0, 180.0)),
        ("-90 -180", (-90.0, -180.0)),
        ("33.9S 18.4E", (-33.9, 18.4)),
        ("33 54 S, 18 24 E", (-33.9, 18.4)),
        ("52°06'S 3°42'E", (-52.1, 3.7)),
        ("52,3", (52.0, 3.0)),
        ("52.1N 3.7", (52.1, 3.7)),
        ("52.1 W3.7", (52.1, -3.7)),
        ("52.1, 3.7W", (52.1, -3.7)),
    ],
)
def test_signs_and_letters_count(text: str, place: tuple[float, float]) -> None:
    assert read_coordinates(text) == pytest.approx(place, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no latitude and longitude"),
        ("N W", "no latitude and longitude"),
        ("here", "cannot be read"),
        ("52.1", "where latitude ends"),
        ("52.1N", "where latitude ends"),
        ("52 06 30", "where latitude ends"),
        ("1 2 3 4 5", "where latitude ends"),
        ("1 2 3 4 5 6 7 8", "where latitude ends"),
        ("1 2 3 4, 5", "one to three numbers"),
        ("52 60 0 N 3 0 0 W", "60 minutes is not possible"),
        ("52 0 60 N 3 0 0 W", "60 seconds is not possible"),
        ("52 6 75.5, 3 0 0", "75.5 seconds is not possible"),
        ("91 0", "beyond 90°"),
        ("90 0 1 N 3 0 0 W", "beyond 90°"),
        ("0 181", "beyond 180°"),
        ("0 0 1, 180 0 1", "beyond 180°"),
        ("-122.3 47.6", "comes first"),
        ("52.1N 3.7N", "both are N or S"),
        ("52.1E 3.7W", "both are E or W"),
        ("-52.1S 3.7W", "minus and S"),
        ("N 52 3 W", "one to three numbers"),
        ("52 N S 3", "both are N or S"),
        ("48.2 N 16.4 O", "write E or W"),
        ("52.5 30 N 3 0 W", "only the last"),
        ("52 -6 N, 3 W", "no sign of their own"),
        ("52' N 3° W", "wrong place"),
        ("52,1 3", "use a point"),
        ("1,2,3", "cannot be read"),
        ("1, 2, 3", "too many separators"),
        ("52..1 3", "cannot be read"),
        ("1e3 5", "cannot be read"),
        ("5.21e1, 3", "cannot be read"),
        ("nan inf", "cannot be read"),
        ("N E S W 1 2", "too many letters"),
        ("\u0665\u0662 3", "cannot be read"),
    ],
)
def test_what_cannot_be_true_is_refused_in_words(text: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_coordinates(text)


def test_it_is_shown_in_degrees_minutes_and_seconds() -> None:
    assert show_coordinates(52.0 + 6.5 / 60.0, -3.7) == "52°06′30″ N 3°42′00″ W"
    assert show_coordinates(-33.99999999, 0.0) == "34°00′00″ S 0°00′00″ E"


@given(st.floats(-90, 90), st.floats(-180, 180))
def test_what_is_shown_can_be_typed_back(latitude_deg: float, longitude_deg: float) -> None:
    shown = show_coordinates(latitude_deg, longitude_deg)
    half_second = 0.5001 / 3600.0
    assert read_coordinates(shown) == pytest.approx((latitude_deg, longitude_deg), abs=half_second)


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from([" ", ", ", ";", " / "]))
def test_decimals_come_back_exactly(latitude: float, longitude: float, between: str) -> None:
    text = f"{latitude:.9f}{between}{longitude:.9f}"
    assert read_coordinates(text) == pytest.approx((latitude, longitude), abs=1e-9)


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused(text: str) -> None:
    with contextlib.suppress(BadInput):
        latitude_deg, longitude_deg = read_coordinates(text)
        assert abs(latitude_deg) <= 90.0
        assert abs(longitude_deg) <= 180.0
