"""What goes into and comes out of a book about choosing, as plain frozen values."""

from dataclasses import dataclass
from datetime import date, datetime

from logbook.records.entries import TargetCopy
from logbook.sky.limits.limits import Limits
from logbook.text import fold


@dataclass(frozen=True, slots=True)
class Held:
    """What the book holds of one object; frames are those of the sky that stand.

    hours_by_filter -- exposed hours by the filter's name; None for frames without one.
    nights -- in how many nights it was started or exposed, by the date of the evening first on
        `first_date` and last on `last_date`.
    """

    target: TargetCopy
    frames: int
    hours_by_filter: tuple[tuple[str | None, float], ...]
    nights: int
    first_date: date
    last_date: date

    @property
    def hours(self) -> float:
        """Exposure over all filters."""
        return sum(hours for _, hours in self.hours_by_filter)

    def hours_through(self, filter_name: str | None) -> float:
        """Hours through one filter, whatever the case of its name; None for all of them."""
        if filter_name is None:
            return self.hours
        wanted = fold(filter_name)
        return sum(hours for name, hours in self.hours_by_filter if name and fold(name) == wanted)


@dataclass(frozen=True, slots=True)
class ProjectRecord:
    """Hours wanted of an object through a filter (None: any), and what the book has of it."""

    id: int
    uid: str
    target: TargetCopy
    filter_name: str | None
    wanted_hours: float
    note: str
    held_hours: float
    last_date: date | None  # evening on which the object was last started or exposed

    @property
    def owed_hours(self) -> float:
        """Hours that are still wanted; never below 0."""
        return max(0.0, self.wanted_hours - self.held_hours)


@dataclass(frozen=True, slots=True)
class LimitSetRecord:
    """A named set of limits.

    id -- None while the book has no copy of its own yet.
    limits -- None for a set of a newer program that this one cannot read.
    """

    id: int | None
    name: str
    limits: Limits | None


@dataclass(frozen=True, slots=True)
class OrderItem:
    """One object of a running order; instants are aware UTC, None where they are left open."""

    target: TargetCopy
    from_utc: datetime | None = None
    to_utc: datetime | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class RunningOrderRecord:
    """What is meant to be done in a night at a site, in order. An edited one is a new one."""

    id: int
    uid: str
    site_id: int
    local_date: date
    made_utc: datetime
    items: tuple[OrderItem, ...]
