"""What runs now and what comes next, in numbers: the Night page and the far view draw from it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from logbook.records.choosing import OrderItem
from logbook.records.entries import EntryRecord
from logbook.records.runs import Run, runs
from logbook.screen.services.services import Desk, duration_words
from logbook.store.history.tonight import FramesRun, frames_run


@dataclass(frozen=True, slots=True)
class ComingUp:
    """What happens next, in one word and at which instant."""

    word: str
    at_utc: datetime

    def words(self, desk: Desk) -> str:
        away = duration_words(self.at_utc - desk.clock())
        return f"{self.word} at {desk.event_words(self.at_utc)}, in {away}"


def current_run(desk: Desk) -> Run | None:
    """The object that runs, None if none does."""
    found = runs(desk.view.timeline) if desk.view.night and not desk.night_is_past else ()
    return found[-1] if found and found[-1].stopped_utc is None else None


def frames_going(desk: Desk) -> FramesRun | None:
    return frames_run(desk.view.timeline) if current_run(desk) else None


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


def order_left(desk: Desk) -> list[OrderItem]:
    """What is left of the running order of the night in progress."""
    night = desk.view.night
    order = None if night is None else desk.view.running_order(night.local_date)
    return upcoming(order.items, desk.view.timeline, desk.clock()) if order else []


def switch_utc(desk: Desk) -> datetime | None:
    """When to go over to what is next: at the end of this slot of the running order, when the next
    one begins, or when what runs goes below its horizon. Now, if the next one should run already.
    """
    running, night = current_run(desk), desk.view.night
    if running is None or night is None:
        return None
    now, order = desk.clock(), desk.view.running_order(night.local_date)
    own = _slot(order.items if order else (), running.target.catalogue_id, now)
    wanted = [each.from_utc for each in order_left(desk)[:1]] if own is None else [own.to_utc]
    wanted.append(desk.track.next_set(now) if desk.track else None)
    soonest = min((each for each in wanted if each is not None), default=None)
    return None if soonest is None else max(now, soonest)


def _slot(items: Sequence[OrderItem], object_id: str, now: datetime) -> OrderItem | None:
    """The time that the running order gives to an object just now."""
    for each in items:
        is_it = each.target.catalogue_id == object_id
        if is_it and each.from_utc and each.to_utc and each.from_utc <= now < each.to_utc:
            return each
    return None


def coming_up(desk: Desk) -> list[ComingUp]:
    """All that happens to what runs, soonest first."""
    now, found = desk.clock(), []
    going = frames_going(desk)
    if going is not None:
        found.append(ComingUp("frames", going.end_utc))
    if current_run(desk) is not None and desk.track is not None:
        crossing, setting = desk.track.transit_near(now), desk.track.next_set(now)
        found += [ComingUp("meridian", crossing)] if crossing else []
        found += [ComingUp("horizon", setting)] if setting else []
    for item in order_left(desk)[:1]:
        found += [ComingUp(item.target.name, item.from_utc)] if item.from_utc else []
    dark = desk.tonight.night.dark if desk.tonight else None
    if dark is not None:
        begins = now < dark.start
        found.append(ComingUp("dark", dark.start) if begins else ComingUp("dawn", dark.end))
    return sorted((each for each in found if each.at_utc > now), key=lambda each: each.at_utc)
