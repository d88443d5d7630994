"""Lines about work on the kit: part, words, time, cost, before, after and a photo's path."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.entryline.format import spell
from logbook.entryline.understand import understand
from logbook.entryline.upkeep import upkeep_line
from logbook.records.entries import UpkeepDone
from logbook.text import clean
from tests.entryline.lines import AROUND


def done_of(line: str) -> UpkeepDone:
    understood = understand(line, AROUND)
    assert understood.entry is not None, understood.problem
    assert understood.entry.upkeep is not None
    return understood.entry.upkeep


@pytest.mark.parametrize(
    ("said", "minutes"),
    [
        ("25 min", 25), ("25min", 25), ("took 25 minutes", 25), ("1 h 20 min", 80), ("1h20", 80),
        ("1.5 h", 90), ("1,5 h", 90), ("an hour", 60), ("half an hour", 30), ("1 1/2 hours", 90),
        ("3/4 h", 45), ("1:20 h", 80), ("2 hours of work", 120), ("a quarter of an hour", 15),
    ],
)  # fmt: skip
def test_a_time_is_read_however_it_is_said(said: str, minutes: float) -> None:
    done = done_of(f"upkeep focuser: greased, {said}")
    assert (done.action, done.minutes) == ("greased", minutes)


@pytest.mark.parametrize(
    ("said", "cost"),
    [
        ("cost 4.50", 4.5), ("cost 4,50", 4.5), ("cost: 4", 4), ("paid £4.50", 4.5),
        ("€4,50", 4.5), ("4.50 EUR", None), ("cost 12 euros", 12), ("price 3 francs", 3),
        ("$ 7", 7), ("cost 0", 0),
    ],
)  # fmt: skip
def test_a_cost_is_read_with_or_without_a_currency(said: str, cost: float | None) -> None:
    done = done_of(f"upkeep focuser: greased, {said}")
    assert done.cost == cost
    assert done.action == ("greased" if cost is not None else f"greased, {said}")


def test_of_a_currency_it_is_said_that_the_number_alone_is_kept() -> None:
    assert "the number alone" in understand("upkeep dusted, cost £3", AROUND).said
    assert "the number alone" not in understand("upkeep dusted, cost 3", AROUND).said


def test_time_and_cost_in_the_midst_of_the_words_leave_them_whole() -> None:
    done = done_of("upkeep focuser: left to dry for 2 hours, new felt cost 3.20 at the fair")
    assert done.action == "left to dry for 2 hours, new felt cost 3.20 at the fair"
    assert (done.minutes, done.cost) == (120, 3.2)


@pytest.mark.parametrize(
    ("line", "before", "after"),
    [
        ("greased; before dry, after smooth", "dry", "smooth"),
        ("greased, before: dry, and stiff, after: smooth", "dry, and stiff", "smooth"),
        ("greased before dry, after smooth", "dry", "smooth"),
        ("greased; after smooth", None, "smooth"),
        ("greased; before dry, 10 min", "dry", None),
        ('greased; before "dry; noisy, after frost"', "dry; noisy, after frost", None),
        ("cleaned, before the rain came", None, None),
        ("cleaned, after lunch", None, None),
    ],
)
def test_before_and_after(line: str, before: str | None, after: str | None) -> None:
    done = done_of(f"upkeep focuser: {line}")
    assert (done.before, done.after) == (before, after)


def test_a_photo_is_text_and_said_to_be_missing_but_kept(tmp_path: Path) -> None:
    there = tmp_path / "mirror, after.jpg"
    there.write_bytes(b"")
    line = f'upkeep focuser: greased, photo "{there}", cost 4'
    assert done_of(line).photo_path == str(there)
    assert done_of(line).cost == 4
    assert "no such photo" not in understand(line, AROUND).said
    missing = understand("upkeep focuser: greased; photo no/such [bold].jpg", AROUND)
    assert missing.entry is not None
    assert missing.entry.upkeep is not None
    assert missing.entry.upkeep.photo_path == "no/such [bold].jpg"
    assert "no such photo there now; its path is kept" in missing.said


def test_a_photo_that_is_no_path_stays_in_the_words() -> None:
    done = done_of("upkeep focuser: greased, photo of the mess taken")
    assert (done.photo_path, done.action) == (None, "greased, photo of the mess taken")


def test_a_drive_letter_is_no_part() -> None:
    done = done_of(r"upkeep dusted, photo C:\pictures\lens.jpg")
    assert (done.part_name, done.photo_path) == (None, r"C:\pictures\lens.jpg")


def test_a_remark_stays_with_what_was_done() -> None:
    assert done_of("upkeep focuser: greased; smells of oil").action == "greased; smells of oil"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("upkeep :", "What was done"),
        ("upkeep focuser: greased, cost 1,200", "two ways"),
        ("upkeep focuser: greased, 99999999 h", "not possible"),
        ("upkeep focuser: greased, cost -3", "not possible"),
        (f"upkeep focuser: {'x' * 201}", "200 letters"),
    ],
)
def test_what_cannot_be_is_refused_with_words(line: str, words: str) -> None:
    understood = understand(line, AROUND)
    assert understood.entry is None
    assert understood.problem is not None
    assert words in understood.problem


def test_everything_is_said_once() -> None:
    said = understand(
        "upkeep focuser: greased, 1 h 20 min, cost 4,5; before dry; after smooth; photo x.jpg",
        AROUND,
    )
    assert said.entry is not None
    assert spell(said.entry) == (
        "upkeep, Two-inch focuser: greased, 1 h 20 min, cost 4.50; before: dry; after: smooth; "
        "photo: x.jpg"
    )
    within = understand("upkeep focuser: dried for 2 hours", AROUND)
    assert within.entry is not None
    assert spell(within.entry) == "upkeep, Two-inch focuser: dried for 2 hours"


words = st.text("abc ,;:'.", min_size=1, max_size=12).map(clean).filter(bool)


@given(words, words, st.integers(0, 500), st.integers(0, 9999))
def test_what_a_form_writes_is_read_back_as_it_was(
    before: str, after: str, minutes: int, cents: int
) -> None:
    line = upkeep_line(
        {
            "part": "Two-inch focuser", "action": "greased", "minutes": str(minutes),
            "cost": f"{cents / 100:.2f}", "before": before, "after": after,
            "photo": "a; b, c.jpg",
        }
    )  # fmt: skip
    done = done_of(line)
    assert done == UpkeepDone(
        "greased", "Two-inch focuser", cents / 100, float(minutes), done.before, done.after,
        "a; b, c.jpg",
    )  # fmt: skip
    assert (done.before, done.after) == (before, after)
