"""The running order of a night as plain text or JSON."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from rich.text import Text

from logbook.report.words.tonight_text import dark_and_moon_lines
from logbook.sky.night.clock import event_hhmm, iso_z, zone_or_utc
from logbook.sky.ranking.plan_wishes import wishes
from logbook.sky.ranking.running_order import KeptItem, RunningOrder, as_kept, running_order

if TYPE_CHECKING:
    from datetime import tzinfo

    from logbook.records.choosing import RunningOrderRecord
    from logbook.sky.night.intervals import Interval
    from logbook.sky.ranking.running_order import Slot
    from logbook.sky.ranking.tonight import Tonight

_COLUMNS = 80


def order_of(answer: Tonight, kept: RunningOrderRecord | None) -> RunningOrder:
    """The order as saved; without one, an order of what is suggested."""
    ranking = answer.ranking
    if kept is None:
        wished = wishes(ranking, [each.object_id for each in answer.suggestions])
        return running_order(wished, ranking.darkness.intervals)
    items = [
        KeptItem(each.target.catalogue_id, each.target.name, each.from_utc, each.to_utc, each.note)
        for each in kept.items
    ]
    # The Moon, a planet, a star: their saved time is all that is known of them.
    known = [each.object_id for each in items if ranking.has(each.object_id)]
    found = {each.object_id: each for each in wishes(ranking, known)}
    return as_kept(items, found, ranking.darkness.intervals)


def plan_lines(answer: Tonight, order: RunningOrder, *, kept: bool) -> list[Text]:
    """The order with local times; kept -- whether the user saved it or it is made of suggestions.

    Lines are at most 80 columns wide, unless a name is very long.
    """
    night = answer.night
    zone = zone_or_utc(night.time_zone)
    head = f"Running order for {night.local_date:%A %d %B %Y}, {answer.site.name}"
    made = "as kept in the book" if kept else "made of the suggestions: nothing is kept for it yet"
    lines = [Text(head, style="bold"), Text(f"Times of {night.time_zone}; {made}.")]
    lines += dark_and_moon_lines(night)
    for words in answer.words:
        lines += [Text(part, style="bold") for part in textwrap.wrap(words, _COLUMNS)]
    lines.append(Text(""))
    for place, slot in enumerate(order.slots, start=1):
        lines += _slot_lines(place, slot, zone)
    if not order.slots:
        lines.append(Text("Nothing is planned for this night."))
    lines += [Text(f"    free {_span(each, zone)}, {_length(each.hours)}") for each in order.free]
    lines += [Text(f"    left out: {each.wish.name}, {each.words}") for each in order.left_out]
    return lines


def _slot_lines(place: int, slot: Slot, zone: tzinfo) -> list[Text]:
    if slot.time is None:
        return []
    line = Text(f"{place:2}  {_span(slot.time, zone)}  {_length(slot.hours):>8}  ")
    line.append(slot.wish.name, style="bold")
    notes = []
    if slot.meridian_utc is not None:
        notes.append(f"crosses the meridian at {event_hhmm(slot.meridian_utc, zone)}")
    if slot.words:
        notes.append(slot.words)
    return [line, Text(f"    {'; '.join(notes)}")] if notes else [line]


def _span(time: Interval, zone: tzinfo) -> str:
    return f"{event_hhmm(time.start, zone)}–{event_hhmm(time.end, zone)}"


def _length(hours: float) -> str:
    minutes = round(hours * 60.0)
    return f"{minutes // 60} h {minutes % 60:02}" if minutes >= 60 else f"{minutes} min"


def plan_json(answer: Tonight, order: RunningOrder, *, kept: bool) -> dict[str, object]:
    """The order as plain values for JSON: instants ISO 8601 in UTC."""
    return {
        "site": answer.site.name,
        "night": answer.night.local_date.isoformat(),
        "kept": kept,
        "order": [_slot_json(each) for each in order.slots],
        "left_out": [_slot_json(each) for each in order.left_out],
        "free": [[iso_z(each.start), iso_z(each.end)] for each in order.free],
    }


def _slot_json(slot: Slot) -> dict[str, object]:
    meridian = slot.meridian_utc
    return {
        "object": slot.wish.object_id,
        "name": slot.wish.name,
        "from": iso_z(slot.time.start) if slot.time else None,
        "to": iso_z(slot.time.end) if slot.time else None,
        "meridian": iso_z(meridian) if meridian else None,
        "words": slot.words,
    }
