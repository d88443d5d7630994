"""One reader of dates: the same words mean the same evening wherever they are typed."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook import cli
from logbook.dates import FIRST_YEAR, LAST_YEAR, read_date, read_dates, read_span
from logbook.errors import BadInput
from logbook.records.entries import NewEntry
from logbook.screen.pages.night.forms import MoveForm
from logbook.screen.pages.past.search_words import day_typed
from logbook.screen.pages.upkeep.typed import read_day_to_come, read_when
from logbook.screen.services.services import Desk
from logbook.screen.services.typed_values import read_day
from logbook.sky.night.site import Site
from logbook.store.opening import open_book
from tests.screen.book_on_screen import NoSky

MONDAY = date(2026, 11, 9)  # the weekday by ISO 8601's own week date, checked below
NOW = datetime(2026, 11, 10, 2, tzinfo=UTC)  # still the night of the 9th


def test_the_evening_of_these_tests_is_a_monday() -> None:
    assert date.fromisocalendar(2026, 46, 1) == MONDAY


BACK = {
    "2026-11-07": date(2026, 11, 7),
    " 2026-11-7 ": date(2026, 11, 7),
    "2026/11/07": date(2026, 11, 7),
    "20261107": date(2026, 11, 7),  # ISO 8601's basic form
    "7 Nov": date(2026, 11, 7),
    "7 november 2026": date(2026, 11, 7),
    "Nov 7": date(2026, 11, 7),
    "November 7th, 2026": date(2026, 11, 7),
    "07-Nov-2026": date(2026, 11, 7),
    "7th of Nov": date(2026, 11, 7),
    "Sat 07 Nov 2026": date(2026, 11, 7),
    "Sat 7 Nov": date(2026, 11, 7),
    "7.11.2026": date(2026, 11, 7),  # with dots the day is first: DIN 5008
    "7. 11. 2026": date(2026, 11, 7),
    "7.11.": date(2026, 11, 7),
    "25/10/2026": date(2026, 10, 25),  # there is no month 25
    "10/25/2026": date(2026, 10, 25),
    "10/10/2026": date(2026, 10, 10),
    "tonight": MONDAY,
    "Today": MONDAY,
    "yesterday": date(2026, 11, 8),
    "last night": date(2026, 11, 8),
    "tomorrow": date(2026, 11, 10),
    "-1": date(2026, 11, 8),
    "\u22122": date(2026, 11, 7),
    "+3": date(2026, 11, 12),
    "2 nights ago": date(2026, 11, 7),
    "a day ago": date(2026, 11, 8),
    "monday": MONDAY,
    "Sat": date(2026, 11, 7),
    "last saturday": date(2026, 11, 7),
    "last monday": date(2026, 11, 2),
    "next monday": date(2026, 11, 16),
    "12 Nov": date(2025, 11, 12),  # the latest there was
    "29 Feb": date(2024, 2, 29),
    "9 Nov": MONDAY,
}

REFUSED = {
    "": "no date was typed: write YYYY-MM-DD",
    "   ": "no date was typed",
    "soon": "'soon' is not a date: write YYYY-MM-DD, 7 Nov, 7 Nov 2026, 7.11.2026, today, yest",
    "yesterdayish": "is not a date",
    "2026-02-30": "not a day of the calendar",
    "2026-13-01": "not a day of the calendar",
    "30 Feb": "not a day of the calendar",
    "32.1.2026": "not a day of the calendar",
    "0001-01-01": "out of reach: 1901 to 2098",
    "9999-12-31": "out of reach",
    "3/4/2026": "can be read two ways: write 3 Apr 2026 or 4 Mar 2026",
    "3-4-2026": "can be read two ways: write 3 Apr 2026 or 4 Mar 2026",
    "3/4": "can be read two ways: write 3 Apr or 4 Mar",
    "7 Nov 26": "year with four digits",
    "7.11.26": "year with four digits",
    "Fri 7 Nov 2026": "2026-11-07 is a Saturday, not a Friday",
    "٢٠٢٦-01-01": "is not a date",
    "7": "is not a date",
    "Ju 7": "is not a date",
    "2026-11": "is not a date",
    "2026-11-07T22:00": "is not a date",
    "-99999": "is not a date",
}


@pytest.mark.parametrize(("typed", "meant"), BACK.items())
def test_what_is_taken_for_a_date(typed: str, meant: date) -> None:
    assert read_date(typed, MONDAY) == meant


@pytest.mark.parametrize(("typed", "words"), REFUSED.items())
def test_what_is_not_a_date_is_refused_in_words(typed: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_date(typed, MONDAY)
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("12 Nov", date(2026, 11, 12)),
        ("7 Nov", date(2027, 11, 7)),
        ("29 Feb", date(2028, 2, 29)),
        ("Sat", date(2026, 11, 14)),
        ("monday", MONDAY),
        ("last sat", date(2026, 11, 7)),
        ("yesterday", date(2026, 11, 8)),
    ],
)
def test_a_plan_looks_ahead(typed: str, meant: date) -> None:
    assert read_date(typed, MONDAY, ahead=True) == meant


DATES = st.dates(date(FIRST_YEAR, 1, 1), date(LAST_YEAR, 12, 31))


WRITTEN = ("%Y-%m-%d", "%d %b %Y", "%B %d, %Y", "%d.%m.%Y", "%a %d %b %Y")


@given(DATES, DATES, st.sampled_from(WRITTEN))
def test_a_date_as_the_program_or_a_letter_writes_it_is_read_again(
    meant: date, tonight: date, form: str
) -> None:
    assert read_date(meant.strftime(form), tonight) == meant


@given(st.text(max_size=20), DATES)
def test_any_text_is_a_date_within_reach_or_refused(typed: str, tonight: date) -> None:
    try:
        found = read_date(typed, tonight)
    except BadInput:
        return
    assert FIRST_YEAR <= found.year <= LAST_YEAR


@given(st.dates(date(1930, 1, 1), date(2080, 12, 31)), DATES, st.booleans())
def test_a_day_without_a_year_is_the_nearest_on_its_side(
    tonight: date, other: date, ahead: bool
) -> None:
    found = read_date(f"{other:%d %b}", tonight, ahead=ahead)
    assert (found.month, found.day) == (other.month, other.day)
    assert found == tonight or (found > tonight) == ahead
    assert abs((found - tonight).days) <= 366 * (8 if (other.month, other.day) == (2, 29) else 1)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("yesterday", (date(2026, 11, 8),)),
        ("7 Nov 2026", (date(2026, 11, 7),)),
        ("2026-11-07 2026-11-8", (date(2026, 11, 7), date(2026, 11, 8))),
        ("7 Nov 8 Nov", (date(2026, 11, 7), date(2026, 11, 8))),
        ("7 Nov 2026 last night", (date(2026, 11, 7), date(2026, 11, 8))),
        ("-2 -1", (date(2026, 11, 7), date(2026, 11, 8))),
    ],
)
def test_one_date_or_two(typed: str, meant: tuple[date, ...]) -> None:
    assert read_dates(typed, MONDAY) == meant


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("7 Nov 2026-13-01", "2026-13-01 is not a day"),
        ("3/4/2026 yesterday", "two ways"),
        ("soon later", "'soon later' is not a date"),
    ],
)
def test_of_two_dates_the_one_that_is_none_is_named(typed: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        read_dates(typed, MONDAY)


@pytest.mark.parametrize(
    ("typed", "first", "last"),
    [
        ("2024", date(2024, 1, 1), date(2024, 12, 31)),
        ("2024-02", date(2024, 2, 1), date(2024, 2, 29)),
        ("2024-2", date(2024, 2, 1), date(2024, 2, 29)),
        ("Dec 2024", date(2024, 12, 1), date(2024, 12, 31)),
        ("yesterday", date(2026, 11, 8), date(2026, 11, 8)),
        ("7 Nov", date(2026, 11, 7), date(2026, 11, 7)),
    ],
)
def test_a_span_is_a_day_a_month_or_a_year(typed: str, first: date, last: date) -> None:
    assert read_span(typed, MONDAY) == (first, last)


@pytest.mark.parametrize("typed", ["", "2024-13", "1700", "Foo 2024", "3/4/2026"])
def test_what_is_no_span_is_refused(typed: str) -> None:
    with pytest.raises(BadInput):
        read_span(typed, MONDAY)


# --- every place where a date is typed ---


@pytest.fixture
def path(book_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book with a night for each evening of 1 to 9 November; it is the night of the 9th."""
    with open_book(book_path, clock=lambda: NOW) as book:
        site = book.sites.add(Site("Skerry", 52.0, -3.0, 5.0, "UTC"))
        for day in range(1, 10):
            evening = datetime(2026, 11, day, 20, tzinfo=UTC)
            night = book.nights.start(site.id, None, "", evening)
            book.timeline.keep(night.id, NewEntry("note", evening, f"calm on the {day}."))
            book.nights.end(night.id, evening + timedelta(hours=4))
    monkeypatch.setattr("logbook.store.file.book_state.now_utc", lambda: NOW)
    return book_path


Asked = Callable[[list[str]], tuple[int, str, str]]


@pytest.fixture
def asked(path: Path, capsys: pytest.CaptureFixture[str]) -> Asked:
    def ask(arguments: list[str]) -> tuple[int, str, str]:
        code = cli.main([*arguments, "--book", str(path)])
        said = capsys.readouterr()
        return code, said.out, said.err

    return ask


THE_SEVENTH = ("2026-11-07", "2026-11-7", "7 Nov", "7.11.2026", "Sat", "-2", "2 nights ago")


@pytest.mark.parametrize("typed", THE_SEVENTH)
def test_every_command_takes_the_same_dates(asked: Asked, typed: str) -> None:
    code, out, _ = asked(["night", *typed.split()])
    assert (code, "Saturday 7 November 2026" in out) == (0, True), out
    code, out, _ = asked(["night", typed, "--as", "json"])
    assert (code, json.loads(out)["page"]["night"]["local_date"]) == (0, "2026-11-07")
    code, out, _ = asked(["search", "calm", "--from", typed, "--to", typed])
    assert (code, out.split()[0]) == (0, "2026-11-07")
    code, out, err = asked(["compare", typed, "yesterday"])
    assert code == 0, err
    assert "2026-11-07" in out or "7 November 2026" in out


def test_the_nights_command_and_the_plan_take_yesterday_too(asked: Asked) -> None:
    code, out, err = asked(["tonight", "--date", "yesterday", "--limit", "1", "--json"])
    assert (code, json.loads(out)["night"]["sunset"][:10]) == (0, "2026-11-08"), err
    code, out, _ = asked(["tonight", "--date", "12", "Nov", "--limit", "1", "--json"])
    assert (code, json.loads(out)["night"]["sunset"][:10]) == (0, "2026-11-12")


COMMANDS = (
    ["night", "{}"],
    ["compare", "{}"],
    ["compare", "2026-11-08", "{}"],
    ["search", "calm", "--from", "{}"],
    ["search", "calm", "--to", "{}"],
    ["tonight", "--date", "{}"],
)


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.parametrize(
    ("typed", "words"),
    [("", "no date was typed"), ("soon", "YYYY-MM-DD"), ("3/4/2026", "two ways")],
)
def test_every_command_refuses_the_same(
    asked: Asked, command: list[str], typed: str, words: str
) -> None:
    code, out, err = asked([each.format(typed) for each in command])
    assert (code, out) == (2, "")
    assert words in err


NOON = datetime(2026, 11, 9, 12, tzinfo=UTC)


def outcome(read: Callable[[], date]) -> date | str:
    """The date, or the beginning of the words of refusal."""
    try:
        return read()
    except BadInput as error:
        return str(error)[:20]


@pytest.mark.parametrize("typed", [*THE_SEVENTH, *BACK, *REFUSED])
def test_forms_and_filters_take_and_refuse_the_same(typed: str) -> None:
    desk = Desk(NoSky(), clock=lambda: NOON)
    expected = outcome(lambda: read_date(typed, MONDAY))
    if typed != "2026-11":  # a month, there
        assert outcome(lambda: day_typed(typed, MONDAY, last=False)) == expected
    if typed.strip():  # nothing typed is no day there, or now
        assert outcome(lambda: date.fromisoformat(read_day(typed, MONDAY))) == expected
        past = isinstance(expected, str) or expected <= MONDAY
        by_day = outcome(lambda: read_when(desk, typed).date())
        assert by_day == expected if past else by_day == "that day is still to"
    coming = outcome(lambda: read_date(typed, MONDAY, ahead=True))
    assert outcome(lambda: read_day_to_come(desk, typed).date()) == coming


@pytest.mark.parametrize("typed", [*THE_SEVENTH, *REFUSED])
def test_an_entry_is_moved_to_a_night_by_the_same_words(path: Path, typed: str) -> None:
    with open_book(path, read_only=True) as book:
        desk = Desk(NoSky(), clock=lambda: NOW, book=book)
        (entry,) = book.timeline.of_night(book.nights.on(MONDAY).id)
        night = next(each for each in MoveForm(desk, entry).fields if each.name == "night")
        assert night.check is not None
        if typed in REFUSED:
            with pytest.raises(BadInput) as refused:
                night.check(typed)
            assert REFUSED[typed] in str(refused.value)
        else:
            assert night.check(typed) == "Saturday, Skerry"
