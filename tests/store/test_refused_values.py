"""What cannot be true is refused, in words that name it, and nothing is saved."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from math import inf, nan
from typing import Any

import pytest

from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Value
from logbook.records.check_entry import checked_entry, label_and_unit
from logbook.records.check_kit import checked_part, checked_screws, checked_site
from logbook.records.entries import (
    READING_RANGES,
    Frames,
    NewEntry,
    NightRecord,
    Screw,
    StarLook,
    TargetCopy,
    Turn,
    UpkeepDone,
)
from logbook.sky.night.site import Site
from logbook.store.book import Book
from tests.clock import EVENING

NAIVE = datetime(2025, 10, 4, 19, 0)  # noqa: DTZ001
NOTE = NewEntry("note", EVENING, "clear")
READING = NewEntry("reading", EVENING, "r", readings=(("humidity_percent", 60.0),))
FRAMES = NewEntry("frames", EVENING, "f", frames=Frames(20, 180.0))
TARGET = TargetCopy("test 1", "Test Cloud", "nebula", 10.0, 20.0)


def with_reading(quantity: str, number: float) -> NewEntry:
    return replace(READING, readings=((quantity, number),))


def with_frames(**change: Any) -> NewEntry:
    return replace(FRAMES, frames=replace(Frames(20, 180.0), **change))


def with_turn(**change: Any) -> NewEntry:
    return NewEntry("turn", EVENING, "t", turn=replace(Turn("A", 0.125), **change))


def with_look(**change: Any) -> NewEntry:
    return NewEntry("star", EVENING, "s", look=replace(StarLook(0.1), **change))


def with_target(**change: Any) -> NewEntry:
    return NewEntry("object", EVENING, "o", "start", target=replace(TARGET, **change))


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (with_reading("humidity_percent", 140), "humidity 140 % is not possible: 0 to 100"),
        (with_reading("air_temperature_c", 99.5), "air temperature 99.5 °C is not possible"),
        (with_reading("seeing_pickering", 0), "seeing pickering 0 is not possible: 1 to 10"),
        (with_reading("sky_mag_arcsec2", 31), "sky 31 mag/arcsec² is not possible"),
        (with_reading("wind_m_s", nan), "wind nan m/s is not possible"),
        (with_reading("pressure_hpa", inf), "pressure inf hPa is not possible"),
        (with_reading("mood", 3), "a reading of 'mood' is unknown"),
        (replace(READING, readings=()), "a reading needs a number"),
        (replace(READING, readings=READING.readings * 2), "humidity is given twice"),
        (replace(NOTE, happened_utc=NAIVE), "no time zone"),
        (replace(NOTE, happened_utc=datetime(1066, 10, 14, tzinfo=UTC)), "the year 1066"),
        (replace(NOTE, happened_utc=datetime.max.replace(tzinfo=UTC)), "the year 9999"),
        (
            replace(NOTE, happened_utc=datetime.min.replace(tzinfo=timezone(timedelta(hours=3)))),
            "not possible",
        ),
        (replace(NOTE, kind="withdrawn"), "kind of entry 'withdrawn' is unknown"),
        (replace(NOTE, kind="party"), "kind of entry 'party' is unknown"),
        (replace(NOTE, text=" \t\x1b "), "a note needs words"),
        (replace(NOTE, text="x" * 4001), "4000 characters long; this is 4001"),
        (replace(NOTE, action="pause"), "the action 'pause' is unknown: start, stop"),
        (replace(NOTE, turn=Turn("A", 1.0)), "cannot be part of an entry of kind note"),
        (replace(FRAMES, frames=None), "frames need a count"),
        (with_frames(count=-1), "the number of frames -1 is not possible"),
        (with_frames(exposure_s=90000), "exposure 90000 s is not possible: 0 to 86400"),
        (with_frames(binning=0), "binning 0 is not possible: 1 to 16"),
        (with_frames(gain=nan), "gain nan is not possible"),
        (with_frames(filter_name="x" * 41), "the filter's name may be 40"),
        (with_frames(frame_type="lite"), "the type of frame 'lite' is unknown"),
        (with_turn(turns=0), "a turn of nothing"),
        (with_turn(turns=3), "a turn of 3 turns is not possible: -2 to 2"),
        (with_turn(screw=""), "the screw's name is missing"),
        (with_turn(result="great"), "the result 'great' is unknown: better, same, worse"),
        (with_turn(offset_after=2), "the offset after 2 is not possible"),
        (NewEntry("turn", EVENING, "t"), "a turn needs a screw"),
        (with_look(offset_fraction=1.2), "the offset 1.2 is not possible: 0 to 1"),
        (with_look(way="feel"), "the way of looking 'feel' is unknown"),
        (NewEntry("star", EVENING, "s"), "a star test needs"),
        (NewEntry("kit", EVENING, "k"), "a change of kit needs the train"),
        (NewEntry("upkeep", EVENING, "u"), "upkeep needs what was done"),
        (NewEntry("upkeep", EVENING, "u", upkeep=UpkeepDone(" ")), "what was done is missing"),
        (NewEntry("upkeep", EVENING, "u", upkeep=UpkeepDone("w", cost=-1)), "the cost -1"),
        (NewEntry("object", EVENING, "o", "start"), "an object run needs an object"),
        (with_target(ra_deg=None), "both right ascension and declination"),
        (with_target(dec_deg=91), "declination 91° is not possible"),
        (with_target(ra_deg=-1), "right ascension -1° is not possible"),
        (with_target(name=""), "the object's name is missing"),
    ],
)
def test_an_entry_that_cannot_be_is_refused(
    book: Book, night: NightRecord, entry: NewEntry, words: str
) -> None:
    with pytest.raises(BadInput) as refused:
        book.timeline.keep(night.id, entry)
    assert words in str(refused.value)
    assert book.timeline.of_night(night.id) == ()


@pytest.mark.parametrize(("quantity", "ends"), READING_RANGES.items())
def test_the_ends_of_each_range_are_possible(
    book: Book, night: NightRecord, quantity: str, ends: tuple[float, float]
) -> None:
    """The check of the record and the check in the file agree."""
    for number in ends:
        kept = book.timeline.keep(night.id, with_reading(quantity, number))
        assert kept.content.readings == ((quantity, number),)


def test_a_reading_is_named_with_its_unit() -> None:
    assert label_and_unit("air_temperature_c") == ("air temperature", "°C")
    assert label_and_unit("drift_arcsec_min") == ("drift", "″/min")
    assert label_and_unit("seeing_of_five") == ("seeing of five", "")


def test_text_from_anywhere_is_kept_as_harmless_text(book: Book, night: NightRecord) -> None:
    hostile = "a\x1b[31mred\x00 \u202elr\u2028two\tlines\n[/bold]<script>=1+1"
    kept = book.timeline.keep(night.id, replace(NOTE, text=hostile))
    assert kept.content.text == "a[31mred lrtwo lines [/bold]<script>=1+1"


def test_instants_are_kept_in_utc() -> None:
    summer = timezone(timedelta(hours=2))
    local = datetime(2025, 10, 4, 21, 0, tzinfo=summer)
    assert checked_entry(replace(NOTE, happened_utc=local)).happened_utc.tzinfo is UTC
    assert checked_entry(replace(NOTE, happened_utc=local)) == NOTE


def test_an_angle_is_kept_within_one_turn() -> None:
    look = checked_entry(with_look(position_angle_deg=-30.0)).look
    assert look is not None
    assert look.position_angle_deg == 330.0


SITE = Site("Mill Hill", 48.2, 16.3, 310.0, "Europe/Vienna")


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"name": "\x07"}, "the site's name is missing"),
        ({"latitude_deg": 91}, "latitude 91° is not possible: -90 to 90"),
        ({"latitude_deg": nan}, "latitude nan° is not possible"),
        ({"longitude_deg": 181}, "longitude 181° is not possible"),
        ({"elevation_m": 9001}, "elevation 9001 m is not possible"),
        ({"time_zone": "Mars/Olympus"}, "there is no time zone 'Mars/Olympus'"),
        ({"time_zone": "../etc/passwd"}, "there is no time zone"),
        ({"time_zone": ""}, "there is no time zone"),
        ({"dark_sky_mag_arcsec2": 30}, "dark sky 30 mag/arcsec² is not possible"),
        ({"horizon": ((0.0, 5.0), (360.0, 6.0))}, "two altitudes at azimuth 0°"),
        ({"horizon": ((400.0, 5.0),)}, "azimuth 400° is not possible"),
        ({"horizon": ((10.0, 95.0),)}, "horizon altitude at azimuth 10° 95° is not possible"),
    ],
)
def test_a_site_that_cannot_be_is_refused(change: dict[str, Any], words: str) -> None:
    with pytest.raises(BadInput) as refused:
        checked_site(replace(SITE, **change))
    assert words in str(refused.value)


CAMERA = Part("Small Chip", "camera")


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (replace(CAMERA, kind="spoon"), "kind: one of telescope"),
        (replace(CAMERA, name=""), "the part's name is missing"),
        (replace(CAMERA, state="lost"), "the state 'lost' is unknown"),
        (replace(CAMERA, price=-1), "price: a price is 0 or more"),
        (CAMERA.with_number("pixel_um", 0), "pixel 0 is not possible: 0.5 to 100 µm"),
        (CAMERA.with_number("width_px", 0), "sensor width 0 is not possible: 1 to 100000 px"),
        (CAMERA.with_number("aperture_mm", 100), "aperture_mm: a camera has no aperture mm"),
        (CAMERA.with_number("pixel_um", 3, on="last week"), "last week is no date"),
        (CAMERA.with_number("pixel_um", 3, basis="guessed"), "whether it was stated or measured"),
        (
            CAMERA.with_number("pixel_um", 0).with_number("width_px", 0),
            "pixel: pixel 0 is not possible: 0.5 to 100 µm; sensor width: sensor width 0",
        ),
        (
            replace(CAMERA, values=(Value("pixel_um", "stated"),)),
            "pixel is either a number or words",
        ),
        (
            replace(CAMERA, values=(Value("sky_side_thread", "stated", 42.0),)),
            "thread, sky side: say it in words",
        ),
        (
            replace(CAMERA, values=(Value("pixel_um", "stated", 3.0),) * 2),
            "pixel: stated twice",
        ),
    ],
)
def test_a_part_that_cannot_be_is_refused(part: Part, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        checked_part(part)
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("screws", "words"),
    [
        ((Screw("centre", 12.0),), "sets the distance between the mirrors"),
        ((Screw("A", 0.0),), "sets the distance between the mirrors"),
        ((Screw("A", 13.0),), "the hour 13 o'clock is not possible"),
        ((Screw("A", -1.0),), "the hour -1 o'clock is not possible"),
        ((Screw("A", 12.0), Screw("a", 4.0)), "two screws are called a"),
        ((Screw("", 12.0),), "the screw's name is missing"),
    ],
)
def test_screws_that_cannot_be_are_refused(screws: tuple[Screw, ...], words: str) -> None:
    with pytest.raises(BadInput) as refused:
        checked_screws(screws)
    assert words in str(refused.value)
