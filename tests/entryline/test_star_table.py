"""The entry line round a star test, as a table: checks, adjustments, and what stands beside a look.

Invented lines; the words are the trade's own, common practice, no source.
"""

from dataclasses import replace

import pytest

from logbook.entryline.understand import Surroundings, understand
from logbook.records.check_entry import checked_entry
from logbook.records.entries import Adjustment, LookDetail, NewEntry, Screw, StarCheck
from tests.entryline.lines import AROUND

CHECKS: tuple[tuple[str, StarCheck], ...] = (
    ("check round", StarCheck("round")),
    ("check in focus, round on Vega", StarCheck("round", star="Vega")),
    ("checked the star: round", StarCheck("round")),
    ("check uneven toward 4 o'clock", StarCheck("uneven", 30.0)),
    ("check flared toward 9", StarCheck("flared", 180.0)),
    ("check lopsided at 4:30 on Deneb", StarCheck("uneven", 45.0, star="Deneb")),
    ("check long in the upper left corner", StarCheck("long", None, "upper left corner")),
    ("check astigmatic", StarCheck("long")),
    ("check double", StarCheck("double")),
    ("chek round on Vega", StarCheck("round", star="Vega")),
    (
        "check round, second star on Deneb, east side, alt 62",
        StarCheck("round", None, "in focus", "Deneb", "second", 62.0, "east"),
    ),
)

ADJUSTMENTS: tuple[tuple[str, Adjustment], ...] = (
    (
        "tilt plate 4 o'clock tighten 1/8",
        Adjustment("tilt plate", "4 o'clock", 0.125, "turn"),
    ),
    ("tilt plate B loosen a sixteenth", Adjustment("tilt plate", "B", -0.0625, "turn")),
    ("tilt plate top right out 0.05 mm", Adjustment("tilt plate", "top right", -0.05, "mm")),
    ("tilt plate top right in 50 um", Adjustment("tilt plate", "top right", 0.05, "mm")),
    ("tilt 8 o'clock in 5 min better",
     Adjustment("tilt plate", "8 o'clock", 0.08333, "turn", "better")),
    ("focuser tilted 0.2 deg toward 3 o'clock", Adjustment("focuser", "3 o'clock", 0.2, "deg")),
    ("focuser squared", Adjustment("focuser")),
    ("camera turned 90 deg", Adjustment("camera", "", 90.0, "deg")),
    ("camera turned", Adjustment("camera")),
    ("rotator 45 deg", Adjustment("camera", "", 45.0, "deg")),
    ("primary 4 o'clock loosen 1/16 worse",
     Adjustment("primary", "4 o'clock", -0.0625, "turn", "worse")),
    ("secondary remounted", Adjustment("secondary")),
    ("spacing out 0.5 mm", Adjustment("spacing", "", -0.5, "mm")),
    ("camra turned 90 deg", Adjustment("camera", "", 90.0, "deg")),
)  # fmt: skip

BESIDE_A_LOOK: tuple[tuple[str, LookDetail | None], ...] = (
    ("shadow 0.12 at 4:30 on Vega", None),
    ("shadow 0.12 at 4:30, second star", LookDetail(star_role="second")),
    ("shadow 0.12 at 4:30 on Vega second star", LookDetail(star_role="second")),
    ("shadow centred pier west", LookDetail(pier_side="west")),
    ("shadow centred on Deneb east side of the pier", LookDetail(pier_side="east")),
    ("shadow 0.1 toward 3, alt 55", LookDetail(altitude_deg=55.0)),
    ("shadow 0.1 toward 3, 55° up", LookDetail(altitude_deg=55.0)),
    (
        "shadow centred on Alpheratz, second star, pier west, altitude 62 deg",
        LookDetail(altitude_deg=62.0, pier_side="west", star_role="second"),
    ),
)

NOTES = (
    "check the dew heater",
    "focuser slipped a little",
    "camera froze again",
    "tilt plate",
    "primary mirror fogged",
    "secondary dewed up",
    "spacing looks all right",
)

PROBLEMS = (
    ("check", "How does the star look"),
    ("check focus", "How does the star look"),
    ("check round 5", "not known here"),
    ("tilt plate B 1/8", "Which way"),
    ("tilt plate B in 5", "of what"),
    ("tilt plate B in 1/8 1/4", "Two amounts"),
    ("tilt plate B in 3 turns", "too much"),
    ("tilt plate B in 1/8 sideways", "not known here"),
    ("focuser turned 0 deg", "nothing"),
    ("secondary screw B tighten 1/8", "turn B tighten 1/8"),
    ("secondary centre screw loosen 1/8", "distance between the mirrors"),
    ("shadow 0.1 at 4, alt 120", "not possible"),
    ("turn the central screw tighten 1/8", "distance between the mirrors"),
)


def understood(typed: str, around: Surroundings = AROUND) -> NewEntry:
    found = understand(typed, around)
    assert found.problem is None, found.problem
    assert found.entry is not None
    assert found.said
    assert checked_entry(found.entry) == found.entry, "the book keeps it as understood"
    return found.entry


@pytest.mark.parametrize(("typed", "check"), CHECKS)
def test_checks_of_a_star(typed: str, check: StarCheck) -> None:
    entry = understood(typed)
    assert (entry.kind, entry.check) == ("check", check)


@pytest.mark.parametrize(("typed", "adjustment"), ADJUSTMENTS)
def test_adjustments(typed: str, adjustment: Adjustment) -> None:
    entry = understood(typed)
    assert (entry.kind, entry.adjustment) == ("adjust", adjustment)


@pytest.mark.parametrize(("typed", "detail"), BESIDE_A_LOOK)
def test_what_stands_beside_a_look(typed: str, detail: LookDetail | None) -> None:
    entry = understood(typed)
    assert entry.look is not None
    assert entry.look.detail == detail


@pytest.mark.parametrize("typed", NOTES)
def test_plain_talk_stays_a_note(typed: str) -> None:
    assert understood(typed).kind == "note"


@pytest.mark.parametrize(("typed", "words"), PROBLEMS)
def test_what_cannot_be_is_refused_with_what_to_do(typed: str, words: str) -> None:
    found = understand(typed, AROUND)
    assert found.entry is None
    assert found.problem is not None
    assert words in found.problem


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("check uneven toward 4 on Vega, second star, pier west",
         "star uneven toward 4 o'clock in focus, on Vega, second star, pier west"),
        ("check long in the corner", "star long at the corner"),
        ("tilt plate B loosen 1/16 better", "tilt plate, B: loosened 1/16 turn, better"),
        ("tilt plate top right out 0.05 mm", "tilt plate, top right: out 0.05 mm"),
        ("camera turned -90 deg", "camera: turned 90° anticlockwise"),
        ("focuser squared; no more play", "focuser: set; no more play"),
        ("shadow 0.1 toward 3, second star, alt 55", "second star, 55° up"),
    ],
)  # fmt: skip
def test_it_is_said_in_words(typed: str, said: str) -> None:
    assert said in understand(typed, AROUND).said


def test_the_care_is_said_where_a_mirror_could_come_loose() -> None:
    for typed in ("primary 4 o'clock loosen 1/16", "secondary remounted"):
        assert "a hand under the cell" in understand(typed, AROUND).said


def test_push_pull_and_locked_screws() -> None:
    screws = (
        Screw("A", 12.0, lock_kind="push-pull"),
        Screw("B", 4.0, lock_kind="locked"),
        Screw("C", 8.0),
    )
    around = replace(AROUND, screws=screws)
    for typed, turns in (
        ("turn A push tighten 1/8", 0.125),
        ("turn A pull tighten 1/8", -0.125),
        ("turn A pull loosen 1/8", 0.125),
        ("turn B unlocked tighten 1/8, locked again", 0.125),
        ("turn A tighten 1/8 push-pull", 0.125),
        ("turn C tighten 1/8 locking screws snug better", 0.125),
    ):
        turn = understood(typed, around).turn
        assert turn is not None
        assert turn.turns == pytest.approx(turns), typed
    assert "no push-pull screw" in (understand("turn B pull tighten 1/8", around).problem or "")
