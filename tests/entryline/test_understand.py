"""The entry line beyond its table: times, spelling, Tab, what is shown, and hostile text."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.entryline.tokens import nearest, steps_between
from logbook.entryline.understand import Surroundings, Understood, timed_again, understand
from logbook.records.check_entry import LONGEST_LINE, checked_entry
from logbook.records.entries import ENTRY_KINDS
from logbook.text import clean
from tests.entryline import test_table
from tests.entryline.lines import AROUND, M31, NOW, turned, with_turns


def at(hour: int, minute: int, second: int = 0, day: int = 14) -> datetime:
    return datetime(2026, 3, day, hour, minute, second, tzinfo=UTC)


def happened(typed: str, around: Surroundings = AROUND) -> datetime:
    understood = understand(typed, around)
    assert understood.entry is not None, understood.problem
    return understood.entry.happened_utc


def problem(typed: str, around: Surroundings = AROUND) -> str:
    understood = understand(typed, around)
    assert understood.entry is None
    return understood.problem or ""


# Times


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("seeing 3", NOW),
        ("at 22:15 seeing 3", at(22, 15)),
        ("at 22:15: seeing 3", at(22, 15)),
        ("at 22:15:30 seeing 3", at(22, 15, 30)),
        ("@22:15 seeing 3", at(22, 15)),
        ("at 22.15 seeing 3", at(22, 15)),
        ("at 22h15 seeing 3", at(22, 15)),
        ("at 2215 seeing 3", at(22, 15)),
        ("at 10:15 pm seeing 3", at(22, 15)),
        ("at 10pm seeing 3", at(22, 0)),
        ("22:15 seeing 3", at(22, 15)),
        ("at 21:15 UTC seeing 3", at(21, 15)),
        ("10 min ago seeing 3", NOW - timedelta(minutes=10)),
        ("10 minutes ago: seeing 3", NOW - timedelta(minutes=10)),
        ("90 s ago seeing 3", NOW - timedelta(seconds=90)),
        ("half an hour ago seeing 3", NOW - timedelta(minutes=30)),
        ("a quarter of an hour ago seeing 3", NOW - timedelta(minutes=15)),
        ("an hour ago seeing 3", NOW - timedelta(hours=1)),
        ("1 h 20 min ago seeing 3", NOW - timedelta(minutes=80)),
        ("1.5 hours ago seeing 3", NOW - timedelta(minutes=90)),
    ],
)
def test_late_lines_happened_when_they_say(typed: str, expected: datetime) -> None:
    assert happened(typed) == expected


def test_after_midnight_belongs_to_the_same_night() -> None:
    later = replace(AROUND, now_utc=at(1, 30, day=15))
    assert happened("at 00:40 seeing 3", later) == at(0, 40, day=15)
    assert happened("at 22:15 seeing 3", later) == at(22, 15)
    assert happened("50 min ago seeing 3", later) == at(0, 40, day=15)


def test_a_past_night_takes_lines_by_its_own_date() -> None:
    weeks_later = replace(AROUND, now_utc=NOW + timedelta(days=30))
    assert happened("at 22:15 seeing 3", weeks_later) == at(22, 15)


def test_time_to_come_is_refused_and_the_evening_offered() -> None:
    assert "at 22:15" in problem("at 10:15 seeing 3")
    assert "still to come" in problem("at 23:55 seeing 3")


def test_summer_time_is_told_apart_from_utc() -> None:
    summer = replace(
        AROUND, night_date=date(2026, 7, 18), now_utc=datetime(2026, 7, 19, 0, tzinfo=UTC)
    )
    understood = understand("at 23:30 seeing 3", summer)
    assert understood.entry is not None
    assert understood.entry.happened_utc == datetime(2026, 7, 18, 22, 30, tzinfo=UTC)
    assert "23:30 BST, 22:30 UTC" in understood.said


CLOCKS_BACK = date(2026, 10, 24)  # at 02:00 BST on the 25th the clocks show 01:00 GMT again


def test_an_hour_that_comes_twice_is_resolved_and_said() -> None:
    both_past = replace(
        AROUND, night_date=CLOCKS_BACK, now_utc=datetime(2026, 10, 25, 3, tzinfo=UTC)
    )
    second = understand("at 01:30 seeing 3", both_past)
    assert second.entry is not None
    assert second.entry.happened_utc == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    assert "comes twice" in second.said
    assert "at 00:30 UTC" in second.said
    assert happened("at 00:30 UTC seeing 3", both_past) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_of_two_hours_one_still_to_come_is_not_meant() -> None:
    between = replace(
        AROUND, night_date=CLOCKS_BACK, now_utc=datetime(2026, 10, 25, 0, 40, tzinfo=UTC)
    )
    assert happened("at 01:30 seeing 3", between) == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_an_hour_left_out_is_refused() -> None:
    spring = replace(
        AROUND, night_date=date(2026, 3, 28), now_utc=datetime(2026, 3, 29, 4, tzinfo=UTC)
    )
    assert "does not come that night" in problem("at 01:30 seeing 3", spring)
    assert happened("at 02:10 seeing 3", spring) == datetime(2026, 3, 29, 1, 10, tzinfo=UTC)


def test_an_unknown_zone_falls_back_to_utc() -> None:
    nowhere = replace(AROUND, time_zone="Nowhere/Land")
    assert happened("at 22:15 seeing 3", nowhere) == at(22, 15)


@pytest.mark.parametrize(
    ("text", "when", "shown"),
    [
        ("10 min ago seeing 3", at(22, 15), "at 22:15 seeing 3"),
        ("at 22:15 seeing 3", at(22, 15), "at 22:15 seeing 3"),
        ("seeing 3", at(22, 15, 9), "at 22:15:09 seeing 3"),
        ("seeing 3", datetime(2026, 10, 25, 1, 30, tzinfo=UTC), "at 01:30 UTC seeing 3"),
    ],
)
def test_a_line_to_be_corrected_keeps_its_time(text: str, when: datetime, shown: str) -> None:
    again = timed_again(text, when, "Europe/London")
    assert again == shown
    night = when.date() if when.hour >= 12 else when.date() - timedelta(days=1)
    around = replace(AROUND, night_date=night, now_utc=when + timedelta(hours=5))
    assert happened(again, around) == when


# Spelling


def test_a_slip_is_forgiven_and_said() -> None:
    understood = understand("sieing 3", AROUND)
    assert "read sieing as seeing" in understood.said


def test_a_near_miss_that_makes_no_sense_is_asked_about() -> None:
    assert "meant to be seeing" in problem("seeimg 33")


def test_plain_talk_is_a_note_and_said_to_be_one() -> None:
    understood = understand("an owl on the dome", AROUND)
    assert understood.said.startswith("note: an owl on the dome")
    assert "as a note: no known first word" in understood.said


def test_plain_talk_with_a_known_first_word_is_told_the_way_out() -> None:
    assert "begin with note" in problem("turn of the tide is a fine thing to watch")


@pytest.mark.parametrize(
    ("one", "other", "steps"),
    [("seeing", "seeing", 0), ("sieing", "seeing", 1), ("seing", "seeing", 1),
     ("seeign", "seeing", 1), ("", "abc", 3), ("string", "seeing", 2)],
)  # fmt: skip
def test_letters_put_dropped_changed_or_swapped(one: str, other: str, steps: int) -> None:
    """Optimal string alignment distance (Damerau 1964), counted by hand."""
    assert steps_between(one, other, 5) == steps


def test_two_words_as_near_are_not_guessed() -> None:
    assert nearest("flots", ("flats", "slots")) is None
    assert nearest("abc", ("abd",)) is None  # too short to be sure


# Turns with memory


def test_put_back_undoes_the_latest_turn_that_stands() -> None:
    around = with_turns(turned(7, "A", 0.125), turned(9, "B", -0.0625))
    understood = understand("put back", around)
    assert understood.entry is not None
    assert understood.entry.turn is not None
    assert understood.entry.turn.screw == "B"
    assert understood.entry.turn.turns == 0.0625
    assert understood.entry.turn.puts_back_entry_id == 9
    a_back = understand("put A back", around)
    assert a_back.entry is not None
    assert a_back.entry.turn is not None
    assert a_back.entry.turn.puts_back_entry_id == 7


def test_what_was_put_back_is_not_put_back_again() -> None:
    around = with_turns(turned(7, "A", 0.125), turned(9, "A", -0.125, undoes=7))
    assert "no turn to put back" in problem("put back", around)


def test_put_back_said_with_the_turn_finds_the_turn_it_undoes() -> None:
    around = with_turns(turned(7, "A", 0.125))
    understood = understand("turn A loosen 1/8 put back", around)
    assert understood.entry is not None
    assert understood.entry.turn is not None
    assert understood.entry.turn.puts_back_entry_id == 7
    other = understand("turn A loosen 1/16 put back", around)
    assert other.entry is not None
    assert other.entry.turn is not None
    assert other.entry.turn.puts_back_entry_id is None
    assert "kept as a turn" in other.said


def test_better_alone_judges_the_latest_turn() -> None:
    understood = understand("better", with_turns(turned(7, "A", 0.125)))
    assert understood.corrects_entry_id == 7
    assert understood.entry is not None
    assert understood.entry.turn is not None
    assert understood.entry.turn.result == "better"
    assert understood.entry.text == "turn A 0.125, better"


def test_the_clock_sense_is_shown_with_a_turn() -> None:
    assert "clockwise" in understand("turn A tighten 1/8", AROUND).said
    assert "anticlockwise" in understand("turn C tighten 1/8", AROUND).said


def test_screws_without_names_yet_are_taken_as_typed() -> None:
    understood = understand("turn A tighten 1/8", replace(AROUND, screws=()))
    assert understood.entry is not None
    assert "known" in problem("turn A clockwise 1/8", replace(AROUND, screws=()))


# What is missing around


def test_without_anything_known_around_it_still_reads() -> None:
    bare = Surroundings(NOW, "UTC", date(2026, 3, 14))
    for typed in ("20 x 180s Ha", "kit native", "upkeep tube: washed", "turn A tighten 1/8"):
        assert understand(typed, bare).entry is not None, typed
    assert "Nothing is running" in problem("stop", bare)
    assert "no frames yet" in problem("again", bare)
    assert "How long" in problem("frames 20", bare)


def test_starting_another_object_says_that_the_first_ends() -> None:
    assert "Bode's Galaxy was running" in understand("start m31", AROUND).said
    assert "was running" not in understand("start m31", replace(AROUND, running=M31)).said


# Tab


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("se", "seeing"), ("STA", "start"), ("start m3", "start M 31"),
        ("20 x 180s O", "20 x 180s OIII"),
        ("20 x 180s ", "20 x 180s L"), ("turn ", "turn A"), ("turn A ti", "turn A tighten"),
        ("turn A tighten 1/8 b", "turn A tighten 1/8 better"), ("kit re", "kit reduced"),
        ("upkeep two", "upkeep Two-inch focuser:"), ("at 22:15 sta", "at 22:15 start"),
        ("air 4.2 mi", "air 4.2 mirror"), ("shadow 0.1 tow", "shadow 0.1 toward"),
        ("10 min ago start m3", "10 min ago start M 31"),
    ],
)  # fmt: skip
def test_tab_offers_the_whole_line(typed: str, first: str) -> None:
    assert understand(typed, AROUND).completions[0] == first


@pytest.mark.parametrize("typed", ["note the ", "an owl ", "", "x" * 500, "start "])
def test_tab_offers_nothing_where_nothing_is_known(typed: str) -> None:
    assert understand(typed, AROUND).completions == ()


# Words as typed, and hostile text


def test_the_words_are_kept_as_typed_and_cleaned() -> None:
    understood = understand("  20 x 180s\tHa;  dünne Wolke \x1b[31m[/red] ", AROUND)
    assert understood.entry is not None
    assert understood.entry.text == "20 x 180s Ha; dünne Wolke [31m[/red]"


@pytest.mark.parametrize("typed", ["", "   ", "\t\n", "\x00", "\u202e\u200b", "\x1b"])
def test_nothing_typed_is_nothing(typed: str) -> None:
    assert understand(typed, AROUND) == Understood(None)


@pytest.mark.parametrize("how", ["replace", "surrogateescape"])
def test_a_letter_that_did_not_arrive_whole_is_asked_about(how: str) -> None:
    """U+FFFD stands for a byte that is no UTF-8 (The Unicode Standard, 3.9); in arguments a
    surrogate does (PEP 383)."""
    understood = understand(b"note caf\xe9".decode("utf-8", how), AROUND)
    assert understood.entry is None
    assert "did not arrive whole" in (understood.problem or "")


HOSTILE = (
    "[/x]", "[red]seeing[/red] 3", "\x1b]0;title\x07seeing 3", "\u202eseeing 3\u202c",
    "seeing \u202e3", "'; DROP TABLE entry; --", "{{7*7}}", "%s%n%d", "=1+1", "@SUM(A1)",
    "<script>alert(1)</script>", "../../../etc/passwd", "seeing " + "9" * 400,
    "air 1e999", "air nan", "air inf", "20 x 1/0s", "turn A tighten " + "1/8 " * 300,
    "shadow " + "toward " * 200, "start " + "m" * 3000, "at 22:15 " * 200,
    "10 min ago " * 200, "filter " * 300, "20 x 180s " + "x" * 3000, "focus " + "." * 3000,
    "\ufeffseeing 3", "ſeeing 3", "ＳＥＥＩＮＧ 3", "seeing ٣", "a\u0301ir 4",
    "put " * 500 + "back", "clear_x", "overcast_", "clear's", "air_4", "sky clear_",
    "upkeep " + ":" * 3000, "kit " + "A" * 3000, "bias " + "9" * 30, "60 fps for 99999999 h",
    ";", ";;;;", "turn ;", "at", "@", "ago", "x", "x x x", "1/1/1/1", "½", "note;", "-", "°",
)  # fmt: skip


@pytest.mark.parametrize("typed", HOSTILE)
def test_hostile_text_is_harmless(typed: str) -> None:
    understood = understand(typed, AROUND)
    assert understood.entry is not None or understood.problem
    assert all(clean(line, longest=9000) == line for line in (understood.said,))
    assert len(understood.problem or "") < 700
    if understood.entry is not None:
        assert checked_entry(understood.entry) == understood.entry


@pytest.mark.parametrize("length", [LONGEST_LINE + 1, 10_000, 1_000_000])
def test_a_line_too_long_is_refused_not_cut(length: int) -> None:
    assert str(LONGEST_LINE) in problem("x" * length)


def good_lines() -> list[str]:
    tables = (
        test_table.MEASURES,
        test_table.FRAMES,
        test_table.TURNS,
        test_table.LOOKS,
        test_table.OTHERS,
    )
    return [row[0] for rows in tables for row in rows] + [row[0] for row in test_table.PROBLEMS]


WORDS = sorted({word for line in good_lines() for word in line.split()})
LINES = st.one_of(
    st.text(max_size=200),
    st.lists(st.one_of(st.sampled_from(WORDS), st.text(max_size=6)), max_size=10).map(" ".join),
    st.sampled_from(good_lines()).flatmap(
        lambda line: st.tuples(
            st.just(line), st.integers(0, len(line)), st.integers(0, 3), st.text(max_size=3)
        ).map(lambda cut: cut[0][: cut[1]] + cut[3] + cut[0][cut[1] + cut[2] :])
    ),
)
PLACES = st.builds(
    lambda night, hours, zone: replace(
        AROUND,
        night_date=night,
        now_utc=datetime(night.year, night.month, night.day, 12, tzinfo=UTC)
        + timedelta(hours=hours),
        time_zone=zone,
        last_turns=(turned(7, "A", 0.125),),
    ),
    st.dates(date(1990, 1, 1), date(2090, 1, 1)),
    st.floats(-30, 60),
    st.sampled_from(
        ["Europe/London", "UTC", "Pacific/Chatham", "America/St_Johns", "Asia/Kolkata"]
    ),
)


@given(typed=LINES, around=PLACES)
def test_whatever_is_typed_is_understood_or_refused_in_words(
    typed: str, around: Surroundings
) -> None:
    understood = understand(typed, around)
    if understood.entry is None:
        assert understood.problem or not clean(typed)
        return
    assert understood.entry.kind in ENTRY_KINDS
    assert understood.said
    assert checked_entry(understood.entry) == understood.entry, "the book keeps it as understood"


@given(typed=LINES, around=PLACES)
def test_a_kept_line_read_again_means_the_same(typed: str, around: Surroundings) -> None:
    understood = understand(typed, around)
    if understood.entry is None or understood.corrects_entry_id is not None:
        return  # what corrects a turn carries that turn's words
    assert understand(understood.entry.text, around).entry == understood.entry


@given(typed=LINES)
def test_tab_never_offers_what_it_cannot_show(typed: str) -> None:
    for line in understand(typed, AROUND).completions:
        assert clean(line) == line
