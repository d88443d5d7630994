"""Tonight in one answer, for the screen and as JSON."""

import json
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from logbook.errors import BadInput
from logbook.sky.framing.framing import FieldOfView
from logbook.sky.limits.limits import Limits
from logbook.sky.ranking.tonight import as_json, tonight, under_limits
from tests.sky.tables import TROMS, WALES

LONG = FieldOfView("long", 1624.0, 0.478, (0.83, 0.55))


def test_the_json_has_the_keys_that_were_agreed_on() -> None:
    answer = as_json(tonight(WALES, LONG, date(2026, 11, 8), most=3))
    plain = json.loads(json.dumps(answer, allow_nan=False))
    assert list(plain) == ["site", "train", "night", "suggestions"]
    assert list(plain["site"]) == [
        "name", "latitude_deg", "longitude_deg", "elevation_m", "time_zone",
    ]  # fmt: skip
    assert plain["train"] == {
        "name": "long",
        "focal_length_mm": 1624.0,
        "image_scale_arcsec_px": 0.478,
        "field_deg": [0.83, 0.55],
    }
    assert list(plain["night"]) == [
        "sunset", "sunrise", "dark_from", "dark_to", "moon_illumination", "moon_rise", "moon_set",
    ]  # fmt: skip
    assert len(plain["suggestions"]) == 3
    for each in plain["suggestions"]:
        assert list(each) == [
            "object", "name", "ra_deg", "dec_deg", "hours", "from", "to", "max_altitude_deg",
            "transit", "moon_separation_min_deg", "frame_fill", "score", "reasons",
        ]  # fmt: skip
        begin, end = (datetime.fromisoformat(each[key]) for key in ("from", "to"))
        assert begin < end
        assert each["from"].endswith("Z")
        assert (end - begin).total_seconds() / 3600.0 == pytest.approx(each["hours"], abs=0.001)
        assert all(isinstance(reason, str) for reason in each["reasons"])


def test_the_night_of_the_json_is_that_of_the_naval_observatory() -> None:
    # Source: USNO, Bluffton 2018-09-12: Sun sets at 23:50 UT; skyfield 23:49:38.
    site = replace(
        WALES, latitude_deg=40.8939, longitude_deg=-83.8917, time_zone="America/New_York"
    )
    night = as_json(tonight(site, None, date(2018, 9, 12)))["night"]
    assert isinstance(night, dict)
    assert night["sunset"] == "2018-09-12T23:49:38Z"


def test_without_a_train_framing_is_left_out_and_said() -> None:
    answer = tonight(WALES, None, date(2026, 11, 8), most=3)
    assert as_json(answer)["train"] is None
    assert "No train is chosen: how objects fill the frame is left out." in answer.words
    assert all(each.frame_fill is None for each in answer.suggestions)
    assert {factor.name for each in answer.suggestions for factor in each.factors}.isdisjoint(
        {"framing"}
    )


def test_what_does_not_happen_is_null() -> None:
    night = as_json(tonight(TROMS, LONG, date(2026, 6, 21)))["night"]
    assert isinstance(night, dict)
    assert [night[key] for key in ("sunset", "sunrise", "dark_from", "dark_to")] == [None] * 4


def test_without_astronomical_darkness_it_says_what_it_counted_instead() -> None:
    answer = tonight(WALES, LONG, date(2026, 6, 21), most=3)
    assert answer.suggestions
    assert "Hours are counted with the Sun below −12° instead of −18°." in answer.words
    assert "No astronomical darkness: the Sun only reaches −14.5° at 01:17." in answer.words
    assert all("hours of nautical darkness" in each.reasons[0] for each in answer.suggestions)
    frame = answer.ranking.prepared.frame
    instants = [instant for each in answer.suggestions for instant in (each.from_utc, each.to_utc)]
    assert all(instant.tzinfo is UTC for instant in instants)
    assert frame.site == WALES


def test_where_it_stays_bright_nothing_is_suggested_and_it_says_so() -> None:
    answer = tonight(TROMS, LONG, date(2026, 6, 21))
    assert answer.suggestions == ()
    assert "It is too bright all night for any deep-sky object." in answer.words


def test_darkness_of_minutes_is_not_taken_for_a_night() -> None:
    # At 52.1° N darkness lasts 46 minutes on 18 May 2026 (computed) and is gone days later.
    short = tonight(WALES, LONG, date(2026, 5, 18), Limits(min_hours=1.0))
    assert "There are only 46 min of astronomical darkness." in short.words
    assert short.ranking.darkness.sun_below_deg == -12.0
    enough = tonight(WALES, LONG, date(2026, 5, 18), Limits(min_hours=0.5))
    assert enough.ranking.darkness.sun_below_deg == -18.0


def test_nautical_darkness_of_minutes_is_named_and_not_used() -> None:
    # At 54.3° N midsummer's midnight Sun is 90 - 54.3 - 23.44 = 12.3° down: for an hour and a half.
    north = replace(WALES, latitude_deg=54.3)
    answer = tonight(north, LONG, date(2026, 6, 21), Limits(min_hours=3.0))
    assert answer.suggestions == ()
    assert any(each.startswith("The Sun is below −12° for ") for each in answer.words)


def test_a_bright_moon_is_said_before_anything_is_suggested() -> None:
    words = tonight(WALES, LONG, date(2026, 11, 24)).words
    assert words[0].startswith("Not faint objects tonight: the Moon is 100 % lit and up for ")
    assert words[0].endswith(" mag brighter.")
    words = tonight(WALES, LONG, date(2026, 11, 8)).words
    assert not any("faint" in each for each in words)


def test_a_night_that_does_not_get_dark_is_said_to_be_none_for_faint_objects() -> None:
    words = tonight(WALES, LONG, date(2026, 6, 21)).words
    assert words[0] == "Not faint objects tonight: there is twilight all night."
    words = tonight(TROMS, LONG, date(2026, 6, 21)).words
    assert words[0] == "Not faint objects tonight: it does not get dark."


def test_other_limits_on_the_same_night_give_what_asking_anew_gives() -> None:
    first = tonight(WALES, LONG, date(2026, 11, 20))
    for limits in (
        Limits(kinds=("galaxy",), faintest_mag=11.0),
        Limits(min_altitude_deg=45.0, min_hours=2.0),
        Limits(min_hours=20.0),
    ):
        again = under_limits(first, limits)
        anew = tonight(WALES, LONG, date(2026, 11, 20), limits)
        assert again.suggestions == anew.suggestions
        assert again.words == anew.words


def test_a_known_dark_sky_needs_no_words() -> None:
    known = replace(WALES, dark_sky_mag_arcsec2=21.3)
    assert tonight(known, LONG, date(2026, 11, 8)).words == ()
    assert any(
        "dark sky is not known" in each for each in tonight(WALES, LONG, date(2026, 11, 8)).words
    )


def test_limits_nothing_meets_are_said() -> None:
    answer = tonight(WALES, LONG, date(2026, 11, 8), Limits(min_altitude_deg=89.99))
    assert answer.suggestions == ()
    assert "Nothing in the catalogue is within these limits." in answer.words


def test_an_impossible_place_zone_or_date_is_refused() -> None:
    with pytest.raises(BadInput, match="no time zone"):
        tonight(replace(WALES, time_zone="Nowhere"), LONG, date(2026, 11, 8))
    with pytest.raises(BadInput, match="latitude 95° is not possible"):
        tonight(replace(WALES, latitude_deg=95.0), LONG, date(2026, 11, 8))
    with pytest.raises(BadInput, match="out of reach"):
        tonight(WALES, LONG, date(1500, 1, 1))


def test_places_and_dates_are_read_without_heavy_libraries() -> None:
    program = (
        "import sys, logbook.sky.night.site, logbook.sky.night.clock\n"
        "import logbook.sky.night.coordinates\n"
        "heavy = {'numpy', 'astropy', 'astroplan', 'erfa', 'textual', 'sqlalchemy'}\n"
        "assert not heavy & set(sys.modules), heavy & set(sys.modules)\n"
        "import logbook.sky.ranking.tonight\n"
        "assert not {'astropy', 'astroplan', 'scipy'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-c", program], check=True)
