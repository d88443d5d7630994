"""Threads as people write them, and which of them mate.

Sizes: ISO metric threads by diameter and pitch (ISO 261), inch threads by turns an inch, push fits
of 0.965, 1.25 and 2 inch. That M42x0.75 starts in M42x1 and jams is common practice, no source.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.errors import BadInput
from logbook.kit.parts.threads import MATES, NO_MATE, NOT_KNOWN, Thread, fit, read_thread

M42, M54 = read_thread("M42x0.75 female"), read_thread("M54x0.75 female")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("M42x0.75", "M42x0.75"),
        ("m42 x .75, female", "M42x0.75 female"),
        ("M42×0,75 (outside)", "M42x0.75 male"),
        ("T2 female", "M42x0.75 female"),
        ("M54 × 0.75 m", "M54x0.75 male"),
        ("M48", "M48"),
        ('2"-24 tpi female', '2"-24 tpi female'),
        ("3.25 in-16", '3.25"-16 tpi'),
        ('1/4"-20 male', '0.25"-20 tpi male'),
        ('1 1/4" nosepiece', '1.25" push fit male'),
        ("31.7", '1.25" push fit'),
        ("31.75 mm barrel", '1.25" push fit'),
        ("50.8 mm socket", '2" push fit female'),
        ('2" push-fit', '2" push fit'),
        ("24.5 mm", '0.965" push fit'),
        ("48 mm barrel male", "48 mm push fit male"),
        ("bayonet wide", "bayonet wide"),
        ("none", "none"),
    ],
)
def test_spelling_is_forgiven_and_shown_back(typed: str, shown: str) -> None:
    thread = read_thread(typed)
    assert thread.shown == shown
    assert read_thread(thread.shown) == thread


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "bolted somehow",
        "M42x75",
        "M0x1",
        "48 mm",
        '2"-2',
        '9/0"',
        "M",
        "male",
        "-50.8 mm",
        "x",
        "M42x1 male female",
    ],
)
def test_what_is_no_thread_is_refused_with_examples(typed: str) -> None:
    with pytest.raises(BadInput, match=r"M42x0\.75 male"):
        read_thread(typed)


def test_inch_threads_have_their_size_in_millimetres() -> None:
    """25.4 mm to the inch, exact by definition: 2" is 50.8 mm, 24 turns are 1.0583 mm of pitch."""
    thread = read_thread('2"-24 tpi')
    assert thread.diameter_mm == pytest.approx(50.8)
    assert thread.pitch_mm == pytest.approx(25.4 / 24)


def test_male_in_female_of_one_size_mates() -> None:
    assert fit(M54, M54.partner).verdict == MATES
    assert fit(M54.partner, M54).verdict == MATES


def test_a_finer_pitch_of_one_diameter_is_named_as_the_trap() -> None:
    found = fit(M42, read_thread("M42x1 male"))
    assert found.verdict == NO_MATE
    assert "M42x0.75" in found.why
    assert "M42x1" in found.why
    assert "jams" in found.why


def test_two_of_one_gender_are_flagged() -> None:
    found = fit(M54, M54)
    assert found.verdict == NO_MATE
    assert "both female" in found.why


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("M54x0.75 female", "M48x0.75 male"),
        ("M48x0.75 female", '2" male'),
        ("bayonet wide", "bayonet narrow"),
        ("M54x0.75 female", "none"),
    ],
)
def test_sizes_and_sorts_that_differ_do_not_mate(one: str, other: str) -> None:
    assert fit(read_thread(one), read_thread(other)).verdict == NO_MATE


@pytest.mark.parametrize(
    ("one", "other", "words"),
    [
        (None, M54, "sky side"),
        (M54, None, "eye side"),
        (M54, read_thread("M54 male"), "pitch"),
        (M54, read_thread("M54x0.75"), "male"),
        (read_thread("clamp"), M54, "clamp"),
    ],
)
def test_what_is_not_known_is_said_and_not_flagged(
    one: Thread | None, other: Thread | None, words: str
) -> None:
    found = fit(one, other)
    assert found.verdict == NOT_KNOWN
    assert words in found.why


@given(st.text(max_size=40) | st.from_regex(r"[Mm]?[0-9.]{0,6} ?[x\"]?[-0-9. a-z]{0,8}"))
def test_any_text_is_read_or_refused_with_words(typed: str) -> None:
    try:
        shown = read_thread(typed).shown
    except BadInput:
        with pytest.raises(BadInput, match="no thread known here"):
            read_thread(typed)
        return
    assert read_thread(shown).shown == shown


@given(
    st.sampled_from(["M42x0.75", "M42x1", "M48x0.75", "M54x0.75", '2"-24 tpi', '1.25"', '2"']),
    st.sampled_from(["M42x0.75", "M42x1", "M48x0.75", "M54x0.75", '2"-24 tpi', '1.25"', '2"']),
    st.sampled_from(["male", "female"]),
    st.sampled_from(["male", "female"]),
)
def test_they_mate_only_if_the_size_is_one_and_the_gender_is_not(
    one: str, other: str, one_gender: str, other_gender: str
) -> None:
    found = fit(read_thread(f"{one} {one_gender}"), read_thread(f"{other} {other_gender}"))
    assert (found.verdict == MATES) == (one == other and one_gender != other_gender)
