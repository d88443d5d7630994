"""The one reader of dates as they are typed: on the command line, in forms and in filters."""

import re
from datetime import date, timedelta

from logbook.errors import BadInput
from logbook.text import clean, fold

FIRST_YEAR, LAST_YEAR = 1901, 2098  # ERFA's Earth series holds from 1900 to 2100
TAKEN = "YYYY-MM-DD, 7 Nov, 7 Nov 2026, 7.11.2026, today, yesterday, Friday or -1"

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july", "august", "september"),
    *("october", "november", "december"),
)
_NEAR = {"today": 0, "tonight": 0, "yesterday": -1, "last night": -1, "tomorrow": 1}

_SHIFTED = re.compile(r"(?P<sign>[-+\u2212])\s?(?P<days>[0-9]{1,4})")
_AGO = re.compile(r"(?P<days>[0-9]{1,4}|an?|one)\s(?:day|night)s?\sago")
_WEEKDAY = re.compile(r"(?:(?P<which>last|this|next)\s)?(?P<weekday>[a-z]{3,})")
_WEEKDAY_BEFORE = re.compile(r"(?P<weekday>[a-z]{3,})[.,]?\s(?P<rest>.*[0-9].*)")
_YEAR_FIRST = re.compile(r"(?P<year>[0-9]{4})([-/.])(?P<month>[0-9]{1,2})\2(?P<day>[0-9]{1,2})")
_ISO_BASIC = re.compile(r"(?P<year>[0-9]{4})(?P<month>[0-9]{2})(?P<day>[0-9]{2})")
_DOTTED = re.compile(r"(?P<day>[0-9]{1,2})\.\s?(?P<month>[0-9]{1,2})\.\s?(?P<year>[0-9]{2,4})?")
_NUMBERS = re.compile(r"(?P<one>[0-9]{1,2})([-/])(?P<two>[0-9]{1,2})(?:\2(?P<year>[0-9]{2,4}))?")
_ITS_YEAR = r"(?:[,\s-]\s?(?P<year>[0-9]{2,4}))?"
_DAY_AND_NAME = re.compile(
    rf"(?P<day>[0-9]{{1,2}})(?:st|nd|rd|th)?[.\s-]*(?:of\s)?(?P<month>[a-z]{{3,}})\.?{_ITS_YEAR}"
)
_NAME_AND_DAY = re.compile(
    rf"(?P<month>[a-z]{{3,}})[.\s-]*(?P<day>[0-9]{{1,2}})(?:st|nd|rd|th)?{_ITS_YEAR}"
)
_YEAR_OR_MONTH = re.compile(r"(?P<year>[0-9]{4})(?:[-/.](?P<month>[0-9]{1,2}))?")
_NAMED_MONTH = re.compile(r"(?P<month>[a-z]{3,})[.\s-]*(?P<year>[0-9]{4})")


def read_date(typed: str, tonight: date, *, ahead: bool = False) -> date:
    """The date of an evening as typed. Raises BadInput in words that name what is taken.

    tonight -- the date of the night it is now: at two in the morning "today" still means the
        evening before.
    ahead -- a weekday or a day without a year is the next one, not the latest one; either may be
        tonight.
    """
    said = fold(typed)
    if not said:
        raise BadInput(f"no date was typed: write {TAKEN}")
    found = (
        _near(said, tonight)
        or _weekday(said, tonight, ahead=ahead)
        or _numeric(typed, said, tonight, ahead=ahead)
        or _named(typed, said, tonight, ahead=ahead)
        or _after_weekday(typed, said, tonight, ahead=ahead)
    )
    if found is None:
        raise BadInput(f"{_shown(typed)!r} is not a date: write {TAKEN}")
    return _within_reach(found)


def read_dates(typed: str, tonight: date) -> tuple[date, ...]:
    """One date, or two that follow each other: `yesterday`, `7 Nov 2026 yesterday`.

    Raises BadInput.
    """
    try:
        return (read_date(typed, tonight),)
    except BadInput as error:
        refusal = error
    words = typed.split()
    for place in range(1, len(words)):
        pair = [
            _read_or_refusal(" ".join(each), tonight) for each in (words[:place], words[place:])
        ]
        dates = tuple(each for each in pair if isinstance(each, date))
        if len(dates) == 2:
            return dates
        if dates:
            refusal = next(each for each in pair if isinstance(each, BadInput))
    raise refusal


def read_span(typed: str, tonight: date) -> tuple[date, date]:
    """The first and the last day of what was typed: a date, `2024-05`, `May 2024` or `2024`.

    Raises BadInput.
    """
    said = fold(typed)
    found = _YEAR_OR_MONTH.fullmatch(said) or _NAMED_MONTH.fullmatch(said)
    if found is None or (found["month"] and _month(found["month"]) is None):
        try:
            day = read_date(typed, tonight)
        except BadInput as error:
            raise BadInput(f"{error}; or a month as 2024-05, a year as 2024") from None
        return day, day
    year = int(found["year"])
    month = _month(found["month"]) if found["month"] else None
    first = _within_reach(_day_of(typed, year, month or 1, 1))
    after = date(year + 1, 1, 1) if month in (None, 12) else date(year, first.month + 1, 1)
    return first, after - timedelta(days=1)


def _read_or_refusal(typed: str, tonight: date) -> date | BadInput:
    try:
        return read_date(typed, tonight)
    except BadInput as error:
        return error


def _near(said: str, tonight: date) -> date | None:
    if said in _NEAR:
        return tonight + timedelta(days=_NEAR[said])
    shifted, ago = _SHIFTED.fullmatch(said), _AGO.fullmatch(said)
    if shifted is not None:
        days = int(shifted["days"])
        return _shifted(tonight, days if shifted["sign"] == "+" else -days)
    if ago is not None:
        return _shifted(tonight, -int(ago["days"]) if ago["days"].isdigit() else -1)
    return None


def _shifted(tonight: date, days: int) -> date:
    try:
        return tonight + timedelta(days=days)
    except OverflowError:
        raise BadInput(_out_of_reach("that date")) from None


def _weekday(said: str, tonight: date, *, ahead: bool) -> date | None:
    found = _WEEKDAY.fullmatch(said)
    wanted = _beginning(found["weekday"], _WEEKDAYS) if found is not None else None
    if found is None or wanted is None:
        return None
    which = found["which"] or ("this" if ahead else "")
    back, on = (tonight.weekday() - wanted) % 7, (wanted - tonight.weekday()) % 7
    days = {"last": -(back or 7), "": -back, "this": on, "next": on or 7}[which]
    return tonight + timedelta(days=days)


def _numeric(typed: str, said: str, tonight: date, *, ahead: bool) -> date | None:
    """Year first, or with dots and then day first, or so that only one reading is a day."""
    year_first = _YEAR_FIRST.fullmatch(said) or _ISO_BASIC.fullmatch(said)
    if year_first is not None:
        return _day_of(typed, *(int(year_first[each]) for each in ("year", "month", "day")))
    dotted = _DOTTED.fullmatch(said)
    if dotted is not None:
        month, day = int(dotted["month"]), int(dotted["day"])
        return _in_year(typed, dotted["year"], month, day, tonight, ahead=ahead)
    numbers = _NUMBERS.fullmatch(said)
    if numbers is None:
        return None
    one, two = int(numbers["one"]), int(numbers["two"])
    if one == two or one > 12 or two > 12:
        month, day = (two, one) if one > 12 else (one, two)
        return _in_year(typed, numbers["year"], month, day, tonight, ahead=ahead)
    year = f" {numbers['year']}" if numbers["year"] else ""
    readings = (
        f"{day} {_MONTHS[month - 1][:3].capitalize()}{year}"
        for day, month in ((one, two), (two, one))
    )
    raise BadInput(f"{_shown(typed)!r} can be read two ways: write {' or '.join(readings)}")


def _named(typed: str, said: str, tonight: date, *, ahead: bool) -> date | None:
    found = _DAY_AND_NAME.fullmatch(said) or _NAME_AND_DAY.fullmatch(said)
    month = _month(found["month"]) if found is not None else None
    if found is None or month is None:
        return None
    return _in_year(typed, found["year"], month, int(found["day"]), tonight, ahead=ahead)


def _after_weekday(typed: str, said: str, tonight: date, *, ahead: bool) -> date | None:
    """`Sat 7 Nov 2026`: the weekday has to be that of the date."""
    found = _WEEKDAY_BEFORE.fullmatch(said)
    wanted = _beginning(found["weekday"], _WEEKDAYS) if found is not None else None
    if found is None or wanted is None:
        return None
    rest = found["rest"]
    day = _numeric(typed, rest, tonight, ahead=ahead) or _named(typed, rest, tonight, ahead=ahead)
    if day is not None and day.weekday() != wanted:
        is_on, was_typed = (_WEEKDAYS[each].capitalize() for each in (day.weekday(), wanted))
        raise BadInput(f"{day} is a {is_on}, not a {was_typed}: write one of the two")
    return day


def _month(said: str) -> int | None:
    if said.isdigit():
        return int(said)
    place = _beginning(said, _MONTHS)
    return None if place is None else place + 1


def _beginning(said: str, names: tuple[str, ...]) -> int | None:
    """The place of the name that begins so; three letters are enough."""
    if said == "sept":
        return names.index("september") if "september" in names else None
    found = [place for place, name in enumerate(names) if name.startswith(said)]
    return found[0] if len(found) == 1 else None


def _in_year(
    typed: str, year: str | None, month: int, day: int, tonight: date, *, ahead: bool
) -> date:
    """The day of a year as typed; without one the latest, or the next, that there is."""
    if year is not None:
        if len(year) != 4:
            raise BadInput(f"{_shown(typed)!r}: write the year with four digits, as in 7 Nov 2026")
        return _day_of(typed, int(year), month, day)
    _day_of(typed, 2000, month, day)  # a leap year: what is no day there is none anywhere
    step = 1 if ahead else -1
    for there in range(tonight.year, tonight.year + 9 * step, step):  # 29 February may be 8 away
        try:
            found = date(there, month, day)
        except ValueError:
            continue
        if found == tonight or (found > tonight) == ahead:
            return found
    raise BadInput(_out_of_reach(_shown(typed)))


def _day_of(typed: str, year: int, month: int, day: int) -> date:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise BadInput(_out_of_reach(f"the year {year}"))
    try:
        return date(year, month, day)
    except ValueError:
        raise BadInput(f"{_shown(typed)} is not a day of the calendar") from None


def _within_reach(found: date) -> date:
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise BadInput(_out_of_reach(f"the year {found.year}"))
    return found


def _out_of_reach(what: str) -> str:
    return f"{what} is out of reach: {FIRST_YEAR} to {LAST_YEAR}"


def _shown(typed: str) -> str:
    return clean(typed, longest=40)
