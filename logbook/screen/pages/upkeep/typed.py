"""What is typed in the forms of upkeep, read."""

import re
from datetime import date, datetime, time, timedelta

from logbook.dates import read_date
from logbook.errors import BadInput
from logbook.screen.services.services import Desk

_NUMBER = re.compile(r"(?P<number>[0-9]{1,5}(?:[.,][0-9]{1,2})?)\s*(?P<unit>[^\W\d_]+|°\s*[cf]?)?")
_CLOCK_SIGNS = r"[0-9]{1,2}[:.][0-9]{2}"
_CLOCK = re.compile(r"(?P<hour>[0-9]{1,2})[:.](?P<minute>[0-9]{2})")
_DAY = re.compile(rf"(?P<day>.*\S)\s+(?P<clock>{_CLOCK_SIGNS})")
_WHEN = "15:30, yesterday, 2026-03-14, or 2026-03-14 15:30"


def read_whole(typed: str, what: str) -> int | None:
    """A whole number of `what`; None for nothing. Raises BadInput."""
    number = read_amount(typed, what)
    if number is not None and number != int(number):
        raise BadInput(f"a whole number of {what}")
    return None if number is None else int(number)


def read_amount(typed: str, what: str) -> float | None:
    """A number, with or without its unit; None for nothing. Raises BadInput."""
    if not typed:
        return None
    found = _NUMBER.fullmatch(typed.strip())
    if found is None:
        raise BadInput(f"a number of {what}")
    return float(found["number"].replace(",", "."))


def read_step_c(typed: str) -> float | None:
    """A step of temperature in °C; `18 F` is 10. Raises BadInput."""
    step = read_amount(typed, "°C")
    if step is None or not typed.strip().casefold().endswith("f"):
        return step
    return round(step * 5.0 / 9.0, 1)


def read_yes(typed: str) -> bool:
    """Yes or no, by a letter; nothing is no. Raises BadInput."""
    said = typed.strip().casefold()
    if said and not any(word.startswith(said) for word in ("yes", "no")):
        raise BadInput("yes or no")
    return said.startswith("y")


def read_when(desk: Desk, typed: str) -> datetime:
    """When work was done, at the site; nothing is now, a day alone its noon. Raises BadInput."""
    now = desk.local(desk.clock())
    said = typed.strip()
    if not said:
        return now
    clock = _CLOCK.fullmatch(said)
    if clock is not None:
        at = datetime.combine(now.date(), _clock(said), now.tzinfo)
        return at if at <= now else at - timedelta(days=1)
    day, time_said = _day_said(said, now.date())
    at = datetime.combine(day, _clock(time_said) if time_said else time(12), now.tzinfo)
    if day == now.date() and not time_said:
        at = min(at, now)
    if at > now:
        raise BadInput("that day is still to come")
    return at


def _day_said(said: str, today: date) -> tuple[date, str]:
    """The day that was typed, and a time behind it if there is one."""
    found = _DAY.fullmatch(said)
    day, clock = (said, "") if found is None else (found["day"], found["clock"])
    try:
        return read_date(day, today), clock
    except BadInput as error:
        raise BadInput(f"{error}; with a time 15:30, or 2026-03-14 15:30") from None


def _clock(said: str) -> time:
    found = _CLOCK.fullmatch(said)
    if found is None or int(found["hour"]) > 23 or int(found["minute"]) > 59:
        raise BadInput(_WHEN)
    return time(int(found["hour"]), int(found["minute"]))


def read_day_to_come(desk: Desk, typed: str) -> datetime:
    """The noon of a day to come at the site. Raises BadInput."""
    today = desk.local(desk.clock()).date()
    return noon_of(desk, read_date(typed, today, ahead=True))


def noon_of(desk: Desk, day: date) -> datetime:
    return datetime.combine(day, time(12), desk.zone)
