"""The words of the Night page: what runs now, and each entry in a line."""

from collections.abc import Sequence
from datetime import datetime

from rich.text import Text

from logbook.screen.desk import Desk, duration_words
from logbook.store.choosing_records import OrderItem
from logbook.store.records import EntryRecord
from logbook.store.running import Run, runs
from logbook.store.words import spell, total_words


def entry_words(desk: Desk, record: EntryRecord, *, wide: bool) -> Text:
    """One line of the timeline: local time and what it says; on wide screens UTC and kind too."""
    entry = record.content
    line = Text(f"{desk.clock_words(entry.happened_utc)} ", style="bold")
    if wide:
        line.append(f"{entry.happened_utc:%H:%M} UTC  {entry.kind:11}", style="not bold")
    line.append(spell(entry), style="not bold")
    if record.supersedes_id is not None:
        line.append(" (corrected)", style="not bold italic")
    return line


def history_words(desk: Desk, record: EntryRecord) -> Text:
    """One version: when it was written, why, for when, and the words as typed."""
    causes = {None: "written", "correct": "corrected", "withdraw": "withdrawn"}
    cause = causes.get(record.cause, record.cause)
    local = desk.local(record.recorded_utc)
    entry = record.content
    words = Text(f"{local:%d %b %H:%M:%S} {cause}", style="bold")
    words.append(f"  for {desk.clock_words(entry.happened_utc)}: {spell(entry)}", style="not bold")
    return words


def now_words(desk: Desk) -> Text:
    """What runs now, or what to do first."""
    night = desk.view.night
    if night is None:
        words = "No night in progress. F10 starts one."
        if desk.view.nights:
            last = desk.view.nights[0]
            words += f" The last was {last.night.local_date}: {last.entries} entries."
        return Text(words)
    if desk.night_is_past:
        return Text(f"The night of {night.local_date:%a %d %b} was left open: F10 ends it.")
    found = runs(desk.view.timeline)
    since = f"Night of {night.local_date:%a %d %b}, begun {desk.clock_words(night.started_utc)}"
    train = desk.view.train
    with_train = f" with {train.train.name}" if train else ""
    if not found or found[-1].stopped_utc is not None:
        return Text(f"{since}{with_train}. Nothing runs: `start m31` begins an object.")
    return Text(f"{since}{with_train}\n{_run_words(desk, found[-1])}")


def _run_words(desk: Desk, run: Run) -> str:
    elapsed = duration_words(desk.clock() - run.started_utc)
    frames = (
        f"{run.frames} frames, {total_words(run.exposure_s)}" if run.frames else "no frames yet"
    )
    words = (
        f"Now: {run.target.name} for {elapsed}, since {desk.clock_words(run.started_utc)}: {frames}"
    )
    tonight = desk.tonight
    if tonight is None:
        return words
    same = (each for each in tonight.suggestions if each.object_id == run.target.catalogue_id)
    found = next(same, None)
    if found is None:
        return words
    words += f"; good until {desk.event_words(found.to_utc)}"
    if found.transit_utc is None:
        return words
    crossing = "crossed" if found.transit_utc < desk.clock() else "crosses"
    return f"{words}, {crossing} the meridian at {desk.event_words(found.transit_utc)}"


def next_words(desk: Desk) -> Text:
    """What the running order has next: the object that is due, and the one after it."""
    night = desk.view.night
    order = None if night is None else desk.view.running_order(night.local_date)
    if order is None or not order.items:
        return Text("")
    coming = upcoming(order.items, desk.view.timeline, desk.clock())
    if not coming:
        return Text("The running order is done.")
    words = ", then ".join(_item_words(desk, each) for each in coming[:2])
    left = len(coming) - 2
    more = f", {left} more" if left > 0 else ""
    return Text(f"Next: {words}{more}. g starts it.")


def upcoming(
    items: Sequence[OrderItem], timeline: Sequence[EntryRecord], now: datetime
) -> list[OrderItem]:
    """The items whose time is not over and that were not begun yet, in their order."""
    begun = {run.target.catalogue_id for run in runs(timeline)}
    return [
        each
        for each in items
        if each.target.catalogue_id not in begun and (each.to_utc is None or each.to_utc > now)
    ]


def _item_words(desk: Desk, item: OrderItem) -> str:
    if item.from_utc is None or item.to_utc is None:
        return f"{item.target.name} (no time)"
    start, end = desk.event_words(item.from_utc), desk.event_words(item.to_utc)
    return f"{item.target.name} {start}–{end}"
