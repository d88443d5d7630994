"""Small words that pages share."""

from collections.abc import Sequence
from datetime import date
from statistics import fmean

from logbook.records.entries import NightRecord, TrainRecord
from logbook.records.history import NightPlace
from logbook.report.render.keys import PageKey

MOST_DOTS = 400  # in one plot; more of them cover each other


def day(when: date) -> str:
    """`9 November 2026`"""
    return f"{when.day} {when:%B %Y}"


def number(value: float | None, unit: str, decimals: int) -> str:
    """`2.35″`, `−4.0 °C`; "" where it is not known."""
    return "" if value is None else f"{value:.{decimals}f}{unit}".replace("-", "−")


def span_ticks(first: date, last: date) -> tuple[tuple[float, str], ...]:
    """The ends of an axis of dates, by the month, or by the day within one month."""
    form = "%d %b" if (first.year, first.month) == (last.year, last.month) else "%b %Y"
    return tuple((float(each.toordinal()), f"{each:{form}}") for each in (first, last))


def night_key(night: NightRecord | NightPlace) -> PageKey:
    """The page of a night."""
    return PageKey("night", night.local_date.isoformat(), night.id)


def train_key(record: TrainRecord) -> PageKey:
    """The page of a train."""
    return PageKey("train", record.train.name, record.id)


def by_month(points: Sequence[tuple[date, float]]) -> list[tuple[date, float]]:
    """The mean of each month, in order, dated on its first day."""
    months: dict[date, list[float]] = {}
    for when, value in points:
        months.setdefault(when.replace(day=1), []).append(value)
    return [(month, fmean(values)) for month, values in sorted(months.items())]
