"""An entry in one line of words, as lists and reports show it."""

import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.entryline.format import spell, spell_look, spell_reading, spell_turn, turn_words
from logbook.entryline.understand import understand
from logbook.records.entries import READING_RANGES, NewEntry, StarLook, Turn
from logbook.text import clean
from tests.entryline.lines import AROUND, NOW


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("seeing 3/5 cloud 20%", "seeing 3 of 5, cloud 20 %"),
        ("seeing antoniadi III", "seeing Antoniadi III"),
        ("seeing pickering 6", "seeing Pickering 6 of 10"),
        ('seeing 2.1"', "star width 2.1″"),
        ("air 39F mirror 7.9", "air 3.9 °C, mirror 7.9 °C"),
        ("wind 12 km/h NW gusty", "wind 3.3 m/s (NW gusty)"),
        ("at 22:15 wind picking up", "wind picking up"),
        ("dew on the finder", "dew on the finder"),
        ("sky 21.2", "sky 21.2 mag/arcsec²"),
        ("focus 12345 at 4.2C", "focus position 12345, air 4.2 °C"),
        ("focus", "focused"),
        ("start m31", "Andromeda Galaxy started"),
        ("stop", "Bode's Galaxy ended"),
        ("meridian", "Bode's Galaxy crossed the meridian"),
        ("20 x 180s Ha gain 100 bin 2", "20 × 180 s Ha, gain 100, bin 2 (1 h 00 min)"),
        ("20/30 x 180s Ha", "20 of 30 × 180 s Ha (1 h 00 min)"),
        ("20 x 180s Ha; thin cloud", "20 × 180 s Ha (1 h 00 min); thin cloud"),
        ("darks 10 x 180s", "10 × 180 s dark frames (30 min)"),
        ("bias 50", "50 bias frames"),
        ("60 fps for 90 s at 8 ms", "5400 × 8 ms, 60 a second"),
        ("turn A tighten 1/8 better", "A tightened 1/8 turn, better"),
        ("turn A out 5 min", "A loosened 1/12 turn"),
        ("turn A in 20 deg from 0.2 to 0.1", "A tightened 20° (1/18 turn), offset 0.2 to 0.1"),
        ("shadow 12% at 4:30, outside focus",
         "shadow 0.12 of the radius toward 4:30 o'clock, outside focus"),
        ("shadow centred on Vega", "shadow centred, on Vega"),
        ("kit wide", "now with wide field"),
        ("10 min ago note cold feet", "cold feet"),
        ("an owl", "an owl"),
        ("trouble cable caught", "trouble: cable caught"),
        ("transport home", "transport: home"),
        ("knocked the tube", "knocked the tube"),
        ("setup level", "setting up: level"),
        ("break", "a break"),
        ("back; warm again", "back from a break: warm again"),
        ("upkeep focuser: greased, 25 min", "upkeep, Two-inch focuser: greased, 25 min"),
        ('guiding 0.8" drift 3"/min', "guiding 0.8″ rms, drift 3″/min"),
    ],
)  # fmt: skip
def test_entries_read_well(typed: str, words: str) -> None:
    understood = understand(typed, AROUND)
    assert understood.entry is not None, understood.problem
    assert spell(understood.entry) == words
    assert words in understood.said


def test_entries_of_a_form_need_no_typed_text() -> None:
    for kind in ("note", "conditions", "trouble", "focus", "object", "break", "turn", "withdrawn"):
        assert spell(NewEntry(kind, NOW, ""))


@pytest.mark.parametrize("quantity", READING_RANGES)
def test_every_reading_has_words(quantity: str) -> None:
    words = spell_reading(quantity, 3.0)
    assert "_" not in words
    assert any(mark in words for mark in ("3", "III"))


def test_a_put_back_turn_says_so() -> None:
    assert spell_turn(Turn("A", -0.125, puts_back_entry_id=4)) == "A loosened 1/8 turn, put back"


def test_a_measured_picture_has_degrees_and_no_clock() -> None:
    look = StarLook(0.123, 45.0, offset_sigma=0.01, way="picture")
    assert spell_look(look) == "shadow 0.123 ± 0.01 of the radius at 45°"
    assert spell_look(replace(look, way="eye")).endswith("toward 4:30 o'clock")


@given(st.floats(0.001, 1.0))
def test_any_amount_of_turn_has_words(turns: float) -> None:
    assert turn_words(turns)


@given(st.text(max_size=60), st.sampled_from(["note", "conditions", "break", "upkeep", "frames"]))
def test_any_text_can_be_said(text: str, kind: str) -> None:
    words = spell(NewEntry(kind, NOW, clean(text)))
    assert clean(words, longest=9000) == words


def test_the_entry_line_waits_for_nothing_heavy() -> None:
    """The line is understood while the book and the sky are still being loaded."""
    code = (
        "import sys, logbook.entryline.understand, logbook.entryline.format\n"
        "heavy = {'sqlalchemy', 'alembic', 'numpy', 'astropy', 'textual'}\n"
        "print(sorted(heavy & {name.split('.')[0] for name in sys.modules}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
