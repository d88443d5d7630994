"""Nights, dates and instants. A night runs from noon to noon of its site and has the date of its
evening; instants are aware and in UTC.
"""

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from logbook.dates import FIRST_YEAR, LAST_YEAR
from logbook.errors import BadInput
from logbook.text import clean


def zone_of(name: str) -> ZoneInfo:
    """The time zone of that IANA name. Raises BadInput."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        shown = clean(name, longest=60)
        raise BadInput(
            f"there is no time zone {shown!r}: write one like Europe/Vienna or America/Denver"
        ) from error


def zone_or_utc(name: str) -> tzinfo:
    """The time zone of that name, or UTC where this machine does not know it.

    For what a book holds already, which another machine may have written.
    """
    try:
        return zone_of(name)
    except BadInput:
        return UTC


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


def iso_z(instant: datetime) -> str:
    """An aware instant as ISO 8601 in UTC to the nearest second, `2026-11-25T20:00:00Z`."""
    whole = (instant.astimezone(UTC) + timedelta(microseconds=500_000)).replace(microsecond=0)
    return whole.strftime("%Y-%m-%dT%H:%M:%SZ")


def local_hhmm(instant: datetime, zone: tzinfo) -> str:
    """What a clock at the site shows, `21:07`: the minute that has begun.

    For what was logged, so that nothing is of a later minute than the clock beside it.
    """
    return instant.astimezone(zone).strftime("%H:%M")


def event_hhmm(instant: datetime, zone: tzinfo) -> str:
    """The nearest minute, as almanacs print what the sky does; for nothing else."""
    return local_hhmm(instant + timedelta(seconds=30), zone)
