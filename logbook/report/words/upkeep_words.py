"""Words about upkeep that the screen and the command share."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from logbook.entryline.format import counted, spell_upkeep, total_words
from logbook.records.entries import EntryRecord
from logbook.records.upkeep import Due, UpkeepRule

_BAR = 10


def share_bar(share: float, cells: int = _BAR) -> str:
    """`███████░░░`: full when it is due, and however long after."""
    full = min(cells, int(max(0.0, share) * cells))
    return "█" * full + "░" * (cells - full)


def percent(share: float) -> str:
    """`70 %`; of what is due long ago `over 999 %`."""
    return f"{100 * share:.0f} %" if share < 10 else ">999 %"


def rule_words(rule: UpkeepRule) -> str:
    """`every 20 nights or 6 months, and after transport`."""
    limits = [
        counted(rule.every_nights, "night") if rule.every_nights else "",
        counted(rule.every_months, "month") if rule.every_months else "",
        f"{rule.every_hours_of_use:g} h of use" if rule.every_hours_of_use else "",
        f"{rule.every_step_c:g} °C of change" if rule.every_step_c else "",
    ]
    said = " or ".join(each for each in limits if each)
    if not said:
        return "after transport"
    return f"every {said}, and after transport" if rule.after_transport else f"every {said}"


def day_of(at: datetime, zone: tzinfo) -> str:
    return f"{at.astimezone(zone):%Y-%m-%d}"


def done_words(due: Due, zone: tzinfo) -> str:
    """When it was done last."""
    if due.last_done_utc is not None:
        return f"done {day_of(due.last_done_utc, zone)}"
    return f"never logged, counted from {day_of(due.record.created_utc, zone)}"


def put_off_words(due: Due, zone: tzinfo) -> str:
    """Until when it is put off; "" if it isn't."""
    until = due.snoozed_until_utc
    return "" if until is None else f"put off until {day_of(until, zone)}"


def head_words(found: Sequence[Due]) -> str:
    """`2 due, 3 to come, 1 put off`."""
    put_off = sum(each.snoozed_until_utc is not None for each in found)
    is_due = sum(each.is_due for each in found)
    words = f"{is_due or 'nothing'} due, {len(found) - is_due - put_off} to come"
    return f"{words}, {put_off} put off" if put_off else words


@dataclass(frozen=True, slots=True)
class YearOfUpkeep:
    """What was done in one year, newest first."""

    year: int
    entries: tuple[EntryRecord, ...]

    @property
    def minutes(self) -> float:
        return sum(_number(each, "minutes") for each in self.entries)

    @property
    def cost(self) -> float:
        return sum(_number(each, "cost") for each in self.entries)

    @property
    def words(self) -> str:
        """`2026: 9 times, 4 h 05 min, cost 5.70`."""
        pieces = [f"{self.year}: {counted(len(self.entries), 'time')}"]
        if self.minutes:
            pieces.append(total_words(60.0 * self.minutes))
        if self.cost:
            pieces.append(f"cost {self.cost:.2f}")
        return ", ".join(pieces)


def _number(record: EntryRecord, name: str) -> float:
    done = record.content.upkeep
    value: float | None = getattr(done, name) if done is not None else None
    return value or 0.0


def by_year(history: Sequence[EntryRecord], zone: tzinfo) -> tuple[YearOfUpkeep, ...]:
    """A history, newest first, parted into years of that zone."""
    years: dict[int, list[EntryRecord]] = {}
    for each in history:
        years.setdefault(each.content.happened_utc.astimezone(zone).year, []).append(each)
    return tuple(YearOfUpkeep(year, tuple(entries)) for year, entries in years.items())


def entry_words(record: EntryRecord, zone: tzinfo) -> str:
    """`2026-08-18  Long tube: grub screw of B replaced, 35 min, cost 1.20; ...`."""
    done = record.content.upkeep
    words = "" if done is None else spell_upkeep(done).removeprefix("upkeep").lstrip(",: ")
    return f"{day_of(record.content.happened_utc, zone)}  {words}"
