"""Stretches of time."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch of time, from and to, aware UTC."""

    start: datetime
    end: datetime

    @property
    def hours(self) -> float:
        """How long it lasts."""
        return (self.end - self.start).total_seconds() / 3600.0


def common(first: tuple[Interval, ...], second: tuple[Interval, ...]) -> tuple[Interval, ...]:
    """What two sets of intervals share."""
    shared = ((max(a.start, b.start), min(a.end, b.end)) for a in first for b in second)
    return tuple(Interval(start, end) for start, end in sorted(shared) if start < end)


def outside(
    intervals: tuple[Interval, ...], start: datetime, end: datetime
) -> tuple[Interval, ...]:
    """What of a span lies in none of the intervals (sorted, not overlapping)."""
    edges = [start]
    for each in intervals:
        edges += [each.start, each.end]
    edges.append(end)
    gaps = zip(edges[::2], edges[1::2], strict=True)
    return tuple(Interval(a, b) for a, b in gaps if a < b)


def longest(intervals: tuple[Interval, ...]) -> Interval | None:
    """The longest interval, of equal ones the first; None where there is none."""
    return max(intervals, key=lambda each: each.hours, default=None)


def total_hours(intervals: tuple[Interval, ...]) -> float:
    """How long they last together."""
    return sum(each.hours for each in intervals)
