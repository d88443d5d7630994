"""The nights to come: how long each is dark, and how much of that is without the Moon."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from logbook.errors import BadInput
from logbook.sky.night.almanac import night
from logbook.sky.night.clock import zone_of
from logbook.sky.night.darkness import darkness
from logbook.sky.night.intervals import common, longest, outside, total_hours
from logbook.sky.night.night import Night
from logbook.sky.night.night_words import sun_words
from logbook.sky.night.site import Site

LONGEST_CALENDAR = 800


@dataclass(frozen=True, slots=True)
class CalendarNight:
    """One night of the calendar. Instants are aware UTC, None where it does not get dark.

    sun_below_deg -- what is counted as dark: -18, or -12 where the Sun does not go deeper; None
        where not even that.
    dark_from, dark_to -- the longest stretch of it.
    moon_illumination, moon_phase -- at the middle of the night.
    words -- what is unusual: no darkness, no sunset; empty for an ordinary night.
    """

    local_date: date
    sun_below_deg: float | None
    dark_hours: float
    moonless_hours: float
    dark_from: datetime | None
    dark_to: datetime | None
    moon_illumination: float
    moon_phase: str
    words: str


def calendar(site: Site, first_date: date, nights: int = 60) -> tuple[CalendarNight, ...]:
    """Night after night from a date on, about 3 ms each. Raises BadInput.

    A date that the site's zone left out of the calendar has no night here either.
    """
    if not 1 <= nights <= LONGEST_CALENDAR:
        raise BadInput(f"a calendar of {nights} nights cannot be: 1 to {LONGEST_CALENDAR}")
    found = []
    for day in range(nights):
        local_date = first_date + timedelta(days=day)
        try:
            found.append(_calendar_night(night(site, local_date)))
        except BadInput:
            if not found:
                raise
    return tuple(found)


def _calendar_night(found: Night) -> CalendarNight:
    dark = darkness(found, 0.0)
    moonless = common(dark.intervals, outside(found.moon_up, found.noon_utc, found.next_noon_utc))
    stretch = longest(dark.intervals)
    return CalendarNight(
        local_date=found.local_date,
        sun_below_deg=dark.sun_below_deg,
        dark_hours=dark.hours,
        moonless_hours=total_hours(moonless),
        dark_from=stretch.start if stretch else None,
        dark_to=stretch.end if stretch else None,
        moon_illumination=found.moon_illumination,
        moon_phase=found.moon_phase,
        words=" ".join(sun_words(found, zone_of(found.time_zone))),
    )
