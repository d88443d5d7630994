"""Nights, dates and instants. A night runs from noon to noon of its site and has the date of its
evening; instants are aware and in UTC.
"""

import re
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from logbook.errors import BadInput
from logbook.text import clean, fold

FIRST_YEAR, LAST_YEAR = 1901, 2098  # ERFA's Earth series holds from 1900 to 2100


def zone_of(name: str) -> ZoneInfo:
    """The time zone of that IANA name. Raises BadInput."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        shown = clean(name, longest=60)
        raise BadInput(
            f"there is no time zone {shown!r}: write one like Europe/Vienna or America/Denver"
        ) from error


def night_span(zone: tzinfo, local_date: date) -> tuple[datetime, datetime]:
    """Noon of the date and noon of the next, in UTC. 24 hours, or 23 or 25 when clocks change.

    Raises BadInput for a date that the zone left out or that the ephemeris does not reach.
    """
    if not FIRST_YEAR <= local_date.year <= LAST_YEAR:
        raise BadInput(f"the year {local_date.year} is out of reach: {FIRST_YEAR} to {LAST_YEAR}")
    following = local_date + timedelta(days=1)
    noon, next_noon = (
        datetime.combine(day, time(12), tzinfo=zone).astimezone(UTC)
        for day in (local_date, following)
    )
    if next_noon - noon < timedelta(hours=12):
        raise BadInput(f"{local_date} was left out of the calendar in {zone}: take a day beside it")
    return noon, next_noon


def night_date(instant: datetime, zone: tzinfo) -> date:
    """The date of the night that an aware instant belongs to: before noon, the day before."""
    local = instant.astimezone(zone)
    return local.date() if local.hour >= 12 else local.date() - timedelta(days=1)


def read_date(text: str, tonight: date) -> date:
    """The date of a night as typed: YYYY-MM-DD, tonight, today, yesterday, tomorrow.

    tonight -- the date of the night it is now (`night_date` of this moment): at two in the
        morning "today" still means the evening before.
    Raises BadInput.
    """
    words = {"": 0, "tonight": 0, "today": 0, "yesterday": -1, "last night": -1, "tomorrow": 1}
    typed = fold(text)
    if typed in words:
        return tonight + timedelta(days=words[typed])
    shown = clean(text, longest=40)
    if not re.fullmatch(r"\d{4}-\d{1,2}-\d{1,2}", typed, flags=re.ASCII):
        raise BadInput(f"{shown!r} is not a date: write YYYY-MM-DD, today or yesterday")
    year, month, day = (int(part) for part in typed.split("-"))
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise BadInput(f"the year {year} is out of reach: {FIRST_YEAR} to {LAST_YEAR}")
    try:
        return date(year, month, day)
    except ValueError:
        raise BadInput(f"{shown} is not a day of the calendar") from None


def iso_z(instant: datetime) -> str:
    """An aware instant as ISO 8601 in UTC to the nearest second, `2026-11-25T20:00:00Z`."""
    whole = (instant.astimezone(UTC) + timedelta(microseconds=500_000)).replace(microsecond=0)
    return whole.strftime("%Y-%m-%dT%H:%M:%SZ")


def local_hhmm(instant: datetime, zone: tzinfo) -> str:
    """The clock at the site to the nearest minute, `21:07`."""
    return (instant + timedelta(seconds=30)).astimezone(zone).strftime("%H:%M")
