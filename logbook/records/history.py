"""What looking back reads from a book, as plain frozen values."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from logbook.records.entries import TargetCopy


@dataclass(frozen=True, slots=True)
class Spread:
    """The numbers of one quantity in one night."""

    count: int
    mean: float
    low: float
    high: float


def mean_of(spreads: Iterable[Spread]) -> float | None:
    """The mean of all the numbers of several; None without any."""
    found = list(spreads)
    count = sum(each.count for each in found)
    return sum(each.mean * each.count for each in found) / count if count else None


@dataclass(frozen=True, slots=True)
class NightPlace:
    """A night in short: when, where and with what. `train_*` is what it was started with."""

    id: int
    local_date: date
    site_id: int
    site_name: str
    train_id: int | None
    train_name: str | None
    train_revision: int | None
    started_utc: datetime
    ended_utc: datetime | None

    @property
    def hours(self) -> float:
        """From start to end; 0 while it goes on."""
        if self.ended_utc is None:
            return 0.0
        return (self.ended_utc - self.started_utc).total_seconds() / 3600.0


@dataclass(frozen=True, slots=True)
class Light:
    """Frames of the sky."""

    frames: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Exposed:
    """One entry of frames of the sky, with the night and the object it belongs to."""

    night_id: int | None
    happened_utc: datetime
    target_id: int | None
    train_revision_id: int | None
    filter_name: str | None
    gain: float | None
    binning: int | None
    count: int
    exposure_s: float
    entry_id: int = 0

    @property
    def seconds(self) -> float:
        """Exposure of all frames together."""
        return self.count * self.exposure_s


@dataclass(frozen=True, slots=True)
class Look:
    """A star test in short."""

    night_id: int | None
    happened_utc: datetime
    telescope_id: int | None
    offset_fraction: float
    offset_sigma: float | None


@dataclass(frozen=True, slots=True)
class TargetSeen:
    """An object of the book and in how many nights it was worked on."""

    id: int
    copy: TargetCopy
    nights: int


@dataclass(frozen=True, slots=True)
class PartUse:
    """How much a part was used.

    exposed_hours -- of light frames taken through trains that hold it.
    out_hours -- from start to end of the nights it was out.
    """

    nights: int
    exposed_hours: float
    out_hours: float
    first: date | None
    last: date | None


@dataclass(frozen=True, slots=True)
class ObjectSum:
    """An object over a span of nights."""

    name: str
    nights: int
    seconds: float


@dataclass(frozen=True, slots=True)
class LightThrough:
    """Frames of the sky through one revision of a train and one filter ("" if none was named)."""

    train_revision_id: int
    filter_name: str
    frames: int
    seconds: float
