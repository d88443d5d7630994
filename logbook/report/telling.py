"""Small words that pages share."""

from datetime import date

from logbook.report.page_keys import PageKey
from logbook.store.looking_back_records import NightPlace
from logbook.store.records import NightRecord, TrainRecord


def day(when: date) -> str:
    """`9 November 2026`"""
    return f"{when.day} {when:%B %Y}"


def number(value: float | None, unit: str, decimals: int) -> str:
    """`2.35″`, `−4.0 °C`; "" where it is not known."""
    return "" if value is None else f"{value:.{decimals}f}{unit}".replace("-", "−")


def span_ticks(first: date, last: date) -> tuple[tuple[float, str], ...]:
    """The ends of an axis of dates, told by the month, or by the day within one month."""
    form = "%d %b" if (first.year, first.month) == (last.year, last.month) else "%b %Y"
    return tuple((float(each.toordinal()), f"{each:{form}}") for each in (first, last))


def night_key(night: NightRecord | NightPlace) -> PageKey:
    """The page of a night."""
    return PageKey("night", night.local_date.isoformat(), night.id)


def train_key(record: TrainRecord) -> PageKey:
    """The page of a train."""
    return PageKey("train", record.train.name, record.id)
