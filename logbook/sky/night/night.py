"""What is known of one night: a value, made by `almanac.night`."""

from dataclasses import dataclass
from datetime import date, datetime

from logbook.sky.night.intervals import Interval, total_hours


@dataclass(frozen=True, slots=True)
class Night:
    """A night from noon to noon of the site. Instants are aware UTC; None is "does not happen".

    sun_down, below_6, below_12, below_18 -- when the Sun is below each altitude; usually one.
    dark -- the longest stretch of astronomical darkness.
    moon_up -- when the Moon's upper limb is above the horizon.
    moonless_dark -- the parts of astronomical darkness without the Moon.
    moon_illumination, moon_age_days, moon_phase -- at the middle of the night, geocentric.
    lowest_sun_deg, lowest_sun_utc -- how deep the Sun goes, and when.
    words -- what is unusual about this night, for the user.
    """

    local_date: date
    noon_utc: datetime
    next_noon_utc: datetime
    time_zone: str
    sunset: datetime | None
    sunrise: datetime | None
    civil_dusk: datetime | None
    civil_dawn: datetime | None
    nautical_dusk: datetime | None
    nautical_dawn: datetime | None
    astronomical_dusk: datetime | None
    astronomical_dawn: datetime | None
    sun_down: tuple[Interval, ...]
    below_6: tuple[Interval, ...]
    below_12: tuple[Interval, ...]
    below_18: tuple[Interval, ...]
    dark: Interval | None
    lowest_sun_deg: float
    lowest_sun_utc: datetime
    moon_rises: tuple[datetime, ...]
    moon_sets: tuple[datetime, ...]
    moon_up: tuple[Interval, ...]
    moonless_dark: tuple[Interval, ...]
    moon_illumination: float
    moon_age_days: float
    moon_waxing: bool
    moon_phase: str
    words: tuple[str, ...]

    @property
    def moon_rise(self) -> datetime | None:
        """The first rise of the Moon in the night."""
        return self.moon_rises[0] if self.moon_rises else None

    @property
    def moon_set(self) -> datetime | None:
        """The first set of the Moon in the night."""
        return self.moon_sets[0] if self.moon_sets else None

    @property
    def dark_hours(self) -> float:
        """Hours with the Sun below -18 degrees."""
        return total_hours(self.below_18)

    @property
    def moonless_hours(self) -> float:
        """Hours of that darkness without the Moon."""
        return total_hours(self.moonless_dark)
