"""Lines as typed with cold hands, written down before looking at what is understood.

None may be saved as something else than was meant: it is understood, asked about, or a note.
Invented lines; Beaufort's v = 0.836 B^1.5 m/s (WMO-No. 8).
"""

from dataclasses import replace
from datetime import datetime

import pytest

from logbook.entryline.format import spell
from logbook.entryline.understand import timed_again, understand
from tests.entryline.lines import AROUND, M81, NOW

UNDERSTOOD = (
    ("seeing 3/5 wobbly", "conditions", "seeing 3 of 5 (wobbly)"),
    ("seeing II-III", "conditions", "seeing Antoniadi 2.5"),
    ("seeing 1-2 antoniadi", "conditions", "seeing Antoniadi 1.5"),
    ("seeing 5-7 pickering", "conditions", "seeing Pickering 6 of 10"),
    ("cirrus 30%", "conditions", "cloud 30 %"),
    ("cirrus coming in from the west", "conditions", "cirrus coming in from the west"),
    ("calm", "conditions", "wind 0 m/s"),
    ("no wind", "conditions", "wind 0 m/s"),
    ("no clouds", "conditions", "cloud 0 %"),
    ("clear again", "conditions", "cloud 0 % (again)"),
    ("clear of the trees now", "conditions", "clear of the trees now"),
    ("clear patch in the west", "conditions", "clear patch in the west"),
    ("clear to the south only", "conditions", "clear to the south only"),
    ("clear filter in", "conditions", "clear filter in"),
    ("wind NW 3", "conditions", "wind 3 m/s"),
    ("wind 3-4 m/s", "conditions", "wind 3.5 m/s"),
    ("wind 2 bft", "conditions", "wind 2.4 m/s"),
    ("ambient 2.1", "reading", "air 2.1 °C"),
    ("primary 7.4", "reading", "mirror 7.4 °C"),
    ("primary 7.4C air 4.1", "reading", "mirror 7.4 °C, air 4.1 °C"),
    ("primary in 1 mm", "adjust", "primary: in 1 mm"),
    ("refocus 12410 fwhm 2.3", "focus", "focus position 12410, star width 2.3″"),
    ("autofocus 12050", "focus", "focus position 12050"),
    ("focus moved to 12345", "focus", "focus position 12345"),
    ("focus pos 8400", "focus", "focus position 8400"),
    ("guiding rms 0.8", "guiding", "guiding 0.8″ rms"),
    ("starting m31", "object", "Andromeda Galaxy started"),
    ("start imaging m31", "object", "Andromeda Galaxy started"),
    ("m31 started", "object", "Andromeda Galaxy started"),
    ("moon started", "object", "Moon started"),
    ("m81 done", "object", "Bode's Galaxy ended"),
    ("stopped by clouds", "object", "Bode's Galaxy ended"),
    ("stop for coffee", "object", "Bode's Galaxy ended"),
    ("another 10", "frames", "10 × 180 s Ha, gain 100, bin 1 (30 min)"),
    ("repeat", "frames", "20 × 180 s Ha, gain 100, bin 1 (1 h 00 min)"),
    ("20 @ 180s Ha", "frames", "20 × 180 s Ha (1 h 00 min)"),
    ("20 at 180s Ha", "frames", "20 × 180 s Ha (1 h 00 min)"),
    ("Ha 20x180", "frames", "20 × 180 s Ha (1 h 00 min)"),
    ("m81 20x180 Ha", "frames", "20 × 180 s Ha (1 h 00 min)"),
    ("20x180 Ha m81", "frames", "20 × 180 s Ha (1 h 00 min)"),
    ("25x300 ha g120", "frames", "25 × 300 s Ha, gain 120 (2 h 05 min)"),
    ("5 x 30s iso 800", "frames", "5 × 30 s, gain 800 (3 min)"),
    # A film of the Moon does not take the filter of the galaxy before it.
    ("120fps for 60s gain 300", "frames", "7200 × 8.333 ms, gain 300, 120 a second"),
    ("A tighten 1/8", "turn", "A tightened 1/8 turn"),
    ("B out 1/16", "turn", "B loosened 1/16 turn"),
    ("back at it", "break", "back from a break: at it"),
)
NOTES = (
    "light clouds", "light dome to the south", "dark now", "dark patch in the Milky Way",
    "flat battery", "frames look soft", "bias looks odd", "sensor dirty", "limit switch hit",
    "hum in the motor", "back pain", "back in 10 min", "back focus 55 mm", "start guiding",
    "stop guiding", "start of astronomical dark", "end of twilight", "target rising",
    "object behind a tree", "another beer", "a 5 min pause", "a quarter moon",
    "half moon, turns out bright", "lost 3 frames", "midnight snack", "on the way home",
    "satellite at 22:10",
)  # fmt: skip
ASKED = (
    ("gain 120", "goes with the frames"),
    ("bin 2", "goes with the frames"),
    ("mirror 3 above air", "Give both"),
    ("mirror 2K warmer", "Give both"),
    ("focus +30", "is a move"),
    ("guiding 1.2 px", "arcseconds"),
    ("slewing to m31", "start m31"),
    ("on m31", "start m31"),
    ("done with m81", "stop m81"),
    ("end night", "F10"),
    ("m31 20x180 Ha", "start m31 first"),
    ("20x180 Ha m31", "start m31 first"),
    ("10x300 R 10x300 G", "One line for each run"),
    ("20 flats R", "20 x 0.8s flats"),
    ("22.15 focus 12340", "Is 22.15 a time?"),
    ("2215 start m31", "Is 2215 a time?"),
    ("at 7 air 4", "Is 7 a time?"),
    ("1/4 turn ccw on B", "begins with turn"),
    ("A 1/8", "tighten"),
    ("start m31 at 23:59", "still to come"),
    ("seeing 3/5 at 25:00", "is not a time"),
    ("kit packed", "begin with note"),
    ("turn dew heater up", "begin with note"),
)
LATE = (
    ("start m31 at 22:10", 22, 10),
    ("start m31 at 22:10; hazy", 22, 10),
    ("m31 started at 22:10", 22, 10),
    ("stop at 22:10 utc", 22, 10),
    ("meridian at 23:05", 23, 5),
    ("flipped 5 min ago", 23, 35),
    ("break at 22:50", 22, 50),
    ("air 4.2 at 22:50", 22, 50),
    ("clouds 20 min ago", 23, 20),
    ("20 x 180s Ha at 22:10", 22, 10),
    ("kit native at 22:10", 22, 10),
    ("since 22:00 clouds", 22, 0),
    ("22h15 start m31", 22, 15),
    ("5 min. ago start m31", 23, 35),
)


@pytest.mark.parametrize(("line", "kind", "said"), UNDERSTOOD)
def test_a_line_typed_with_cold_hands_is_understood(line: str, kind: str, said: str) -> None:
    entry = understand(line, AROUND).entry
    assert entry is not None
    assert (entry.kind, spell(entry)) == (kind, said)
    assert entry.text == line
    assert entry.happened_utc == NOW


@pytest.mark.parametrize("line", NOTES)
def test_plain_talk_becomes_a_note_though_it_begins_like_an_entry(line: str) -> None:
    understood = understand(line, AROUND)
    assert understood.entry is not None, understood.problem
    assert understood.entry.kind == "note"
    assert understood.entry.happened_utc == NOW


@pytest.mark.parametrize(("line", "words"), ASKED)
def test_what_could_be_kept_wrongly_is_asked_about(line: str, words: str) -> None:
    understood = understand(line, AROUND)
    assert understood.entry is None
    assert words in (understood.problem or "")


@pytest.mark.parametrize(("line", "hour", "minute"), LATE)
def test_a_time_at_the_end_of_a_line_says_when(line: str, hour: int, minute: int) -> None:
    entry = understand(line, AROUND).entry
    assert entry is not None
    assert entry.kind != "note"
    assert entry.happened_utc == NOW.replace(hour=hour, minute=minute)
    again = understand(timed_again(line, entry.happened_utc, AROUND.time_zone), AROUND).entry
    assert again is not None
    assert replace(again, text=line) == entry


def test_a_time_at_the_end_is_no_time_where_it_can_mean_something_else() -> None:
    shadow = understand("shadow 0.12 at 4:30", AROUND).entry
    assert shadow is not None
    assert shadow.look is not None
    assert shadow.look.position_angle_deg == pytest.approx(45.0)  # half past four, from three
    for line in ("note meteor at 22:10", "trouble cable at 22:10"):
        entry = understand(line, AROUND).entry
        assert entry is not None
        assert entry.happened_utc == NOW


def test_midnight_may_be_named_and_is_this_nights() -> None:
    after = replace(AROUND, now_utc=datetime(2026, 3, 15, 1, 0, tzinfo=NOW.tzinfo))
    entry = understand("at midnight meridian", after).entry
    assert entry is not None
    assert entry.happened_utc == datetime(2026, 3, 15, 0, 0, tzinfo=NOW.tzinfo)


@pytest.mark.parametrize("line", ["30 darks at -10, 300 s", "20 x 180s Ha -10C", "5x9s @ -10 C"])
def test_how_cold_the_sensor_was_goes_with_the_frames(line: str) -> None:
    understood = understand(line, AROUND)
    assert understood.entry is not None
    assert understood.entry.readings == (("sensor_temperature_c", -10.0),)
    assert "sensor -10 °C" in understood.said


def test_frames_that_name_what_runs_belong_to_it() -> None:
    entry = understand("m81 20x180 Ha", AROUND).entry
    assert entry is not None
    assert entry.target == M81
