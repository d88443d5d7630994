"""The chosen objects one after another through a night's darkness: plain instants in and out.

Every object gets one stretch of its windows. How long it may be is shared alike; hours still owed
to a project are the most it gets, hours the user has set are what it gets.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import permutations

from logbook.errors import BadInput
from logbook.sky.night.intervals import Interval, common, outside

SHORTEST_HOURS = 10.0 / 60.0  # finding, centring and focusing cost as much
_SHARES_HOURS = (12.0, 6.0, 4.0, 3.0, 2.0, 1.5, 1.0, 0.75, 0.5, 0.25)
_FEW = 4
_MOST_SLOTS = 20_000  # laid out while an order is sought: part of a second
_SWEEPS, _LAST_SWEEPS = 2, 80
_OWED_COUNTS = 1.5  # hours that are owed or wanted, against others


@dataclass(frozen=True, slots=True)
class Wish:
    """An object meant for the night. Instants are aware UTC.

    windows -- when it stands clear in darkness, in order.
    owed_hours -- what its projects still want; None without one.
    wanted_hours -- what the user has set for this night; None for as long as fits.
    """

    object_id: str
    name: str
    windows: tuple[Interval, ...]
    transit_utc: datetime | None = None
    owed_hours: float | None = None
    wanted_hours: float | None = None


@dataclass(frozen=True, slots=True)
class Slot:
    """A wish and its time, None where there is none for it; words say what falls short."""

    wish: Wish
    time: Interval | None
    words: str = ""

    @property
    def from_utc(self) -> datetime | None:
        """When it begins; None for an object that finds no time."""
        return self.time.start if self.time else None

    @property
    def to_utc(self) -> datetime | None:
        """When it ends; None for an object that finds no time."""
        return self.time.end if self.time else None

    @property
    def hours(self) -> float:
        """How long it is; 0 for an object that finds no time."""
        return self.time.hours if self.time else 0.0

    @property
    def meridian_utc(self) -> datetime | None:
        """When it crosses the meridian, if it does within its time."""
        transit = self.wish.transit_utc
        if transit is None or self.time is None:
            return None
        return transit if self.time.start < transit < self.time.end else None


@dataclass(frozen=True, slots=True)
class RunningOrder:
    """A night's order: slots one after another, what finds no time, and the darkness left free."""

    dark: tuple[Interval, ...]
    slots: tuple[Slot, ...]
    left_out: tuple[Slot, ...]
    free: tuple[Interval, ...]

    @property
    def wishes(self) -> tuple[Wish, ...]:
        """All that was wished for, in the order shown: with time, then without."""
        return tuple(each.wish for each in (*self.slots, *self.left_out))


@dataclass(frozen=True, slots=True)
class KeptItem:
    """One line of an order as a book keeps it."""

    object_id: str
    name: str
    from_utc: datetime | None
    to_utc: datetime | None
    note: str = ""


def running_order(wishes: Sequence[Wish], dark: tuple[Interval, ...]) -> RunningOrder:
    """The order that serves most objects, and then is worth most (`_merit`).

    A few are tried in every order; more begin with what sets first, and single ones are moved
    while that helps.
    """
    if len(wishes) <= _FEW:
        return max((in_this_order(each, dark) for each in permutations(wishes)), key=_merit)
    share, best = _best_share(sorted(wishes, key=_sets), dark)
    for _ in range(max(1, _MOST_SLOTS // _tried_slots(len(wishes)))):
        tried = (_laid_out(each, dark, share) for each in _neighbours(best.wishes))
        better = max(tried, key=_merit)
        if _merit(better) <= _merit(best):
            break
        best = better
    return in_this_order(best.wishes, dark)


def in_this_order(wishes: Sequence[Wish], dark: tuple[Interval, ...]) -> RunningOrder:
    """The wishes laid out in the order given, each with a like share where it can have one."""
    best = _best_share(wishes, dark)[1]
    timed = [replace(each, words="") for each in best.slots]
    return _order(dark, [*_balanced(timed, _LAST_SWEEPS), *best.left_out])


def moved(order: RunningOrder, position: int, to: int) -> RunningOrder:
    """The order with one wish moved to another position (of `wishes`). Raises BadInput."""
    wishes = list(order.wishes)
    wish = wishes.pop(_checked(order, position))
    wishes.insert(_checked(order, to), wish)
    return in_this_order(wishes, order.dark)


def removed(order: RunningOrder, position: int) -> RunningOrder:
    """The order without one wish. Raises BadInput."""
    wishes = list(order.wishes)
    del wishes[_checked(order, position)]
    return in_this_order(wishes, order.dark)


def with_hours(order: RunningOrder, position: int, hours: float | None) -> RunningOrder:
    """The order with hours set for one wish; None for as long as fits. Raises BadInput."""
    if hours is not None and not SHORTEST_HOURS <= hours <= 24.0:
        raise BadInput(f"{hours:g} hours cannot be: 10 minutes to 24 hours")
    wishes = list(order.wishes)
    at = _checked(order, position)
    wishes[at] = replace(wishes[at], wanted_hours=hours)
    return in_this_order(wishes, order.dark)


def added(order: RunningOrder, wish: Wish) -> RunningOrder:
    """The order with one more wish where it fits best; the others stay in order.

    Raises BadInput if it is in it already.
    """
    wishes = list(order.wishes)
    if any(each.object_id == wish.object_id for each in wishes):
        raise BadInput(f"{wish.name} is in the running order already")
    places = ([*wishes[:at], wish, *wishes[at:]] for at in range(len(wishes) + 1))
    return max((in_this_order(each, order.dark) for each in places), key=_merit)


def as_kept(
    items: Sequence[KeptItem], wishes: Mapping[str, Wish], dark: tuple[Interval, ...]
) -> RunningOrder:
    """An order with the times it was saved with.

    wishes -- by object id; what is not in it has its saved time as its only window.
    """
    slots = [_kept_slot(each, wishes.get(each.object_id)) for each in items]
    return _order(dark, slots)


def kept_items(order: RunningOrder) -> tuple[KeptItem, ...]:
    """What a book keeps of an order."""
    return tuple(
        KeptItem(each.wish.object_id, each.wish.name, each.from_utc, each.to_utc, each.words)
        for each in (*order.slots, *order.left_out)
    )


def _kept_slot(item: KeptItem, wish: Wish | None) -> Slot:
    if item.from_utc is None or item.to_utc is None:
        return Slot(wish or Wish(item.object_id, item.name, ()), None, item.note)
    time = Interval(item.from_utc, item.to_utc)
    known = wish or Wish(item.object_id, item.name, (time,))
    return Slot(replace(known, wanted_hours=time.hours), time, item.note)


def _checked(order: RunningOrder, position: int) -> int:
    if not 0 <= position < len(order.wishes):
        raise BadInput(f"the running order has no place {position + 1}: 1 to {len(order.wishes)}")
    return position


def _sets(wish: Wish) -> tuple[datetime, datetime] | tuple[()]:
    """What sets first comes first; what has no window at all before everything: it is left out."""
    return (wish.windows[-1].end, wish.windows[0].start) if wish.windows else ()


def _neighbours(order: Sequence[Wish]) -> list[list[Wish]]:
    """Every order in which one wish stands elsewhere, but not far away where there are many."""
    found = []
    reach = _reach(len(order))
    for at, wish in enumerate(order):
        rest = [*order[:at], *order[at + 1 :]]
        places = range(max(0, at - reach), min(len(order), at + reach + 1))
        found += [[*rest[:to], wish, *rest[to:]] for to in places if to != at]
    return found


def _reach(count: int) -> int:
    return max(1, 120 // count)


def _tried_slots(count: int) -> int:
    """How many slots one round of neighbours lays out, at most."""
    return 2 * _reach(count) * count * count


def _best_share(wishes: Sequence[Wish], dark: tuple[Interval, ...]) -> tuple[float, RunningOrder]:
    """The share of hours to begin with that gives the best of one order."""
    layouts = [(share, _laid_out(wishes, dark, share)) for share in _SHARES_HOURS]
    return max(layouts, key=lambda each: _merit(each[1]))


def _merit(order: RunningOrder) -> tuple[int, float]:
    """How many objects have time, and what it is worth: signal over noise grows with the root of
    the time, and each hour from the meridian takes a twentieth of it.
    """
    worth = sum(
        math.sqrt(each.hours * max(0.5, 1.0 - 0.05 * _from_meridian_hours(each)))
        * (_OWED_COUNTS if _most_hours(each.wish) is not None else 1.0)
        for each in order.slots
    )
    return len(order.slots), round(worth, 4)


def _from_meridian_hours(slot: Slot) -> float:
    transit, time = slot.wish.transit_utc, slot.time
    if transit is None or time is None:
        return 0.0
    return abs(time.start + (time.end - time.start) / 2 - transit) / timedelta(hours=1)


def _most_hours(wish: Wish) -> float | None:
    """The most it may get; None for no end to it."""
    return wish.wanted_hours or wish.owed_hours or None


def _laid_out(
    wishes: Sequence[Wish], dark: tuple[Interval, ...], share_hours: float
) -> RunningOrder:
    slots: list[Slot] = []
    last: datetime | None = None
    for wish in wishes:
        time = _next_time(wish, last, share_hours)
        last = time.end if time else last
        slots.append(Slot(wish, time))
    timed = _balanced(_stretched([each for each in slots if each.time]), _SWEEPS)
    return _order(dark, [*timed, *(each for each in slots if not each.time)])


def _next_time(wish: Wish, last: datetime | None, share_hours: float) -> Interval | None:
    """The first stretch of a wish's windows after an instant that is long enough to be used."""
    most = _most_hours(wish)
    hours = share_hours if most is None else most
    if wish.wanted_hours is None:
        hours = min(hours, share_hours)
    least = timedelta(hours=min(SHORTEST_HOURS, hours))
    for window in wish.windows:
        start = window.start if last is None else max(last, window.start)
        end = min(start + timedelta(hours=hours), window.end)
        if end - start >= least:
            return Interval(start, end)
    return None


def _stretched(slots: list[Slot]) -> list[Slot]:
    """Slots made longer into the gaps beside them, as far as windows and wishes allow."""
    found = list(slots)
    for at in range(len(found)):
        following = found[at + 1].from_utc if at + 1 < len(found) else None
        found[at] = _until(found[at], following)
    for at in range(len(found)):
        found[at] = _since(found[at], found[at - 1].to_utc if at else None)
    return found


def _balanced(slots: list[Slot], sweeps: int) -> list[Slot]:
    """Slots that touch, with the edge between two moved to share their time alike.

    What the user has set is left alone.
    """
    found = list(slots)
    for _ in range(sweeps):
        for at in range(len(found) - 1):
            found[at : at + 2] = _shared(found[at], found[at + 1])
    return found


def _shared(first: Slot, second: Slot) -> tuple[Slot, Slot]:
    early, late = first.time, second.time
    if early is None or late is None or early.end < late.start:
        return first, second
    if first.wish.wanted_hours is not None or second.wish.wanted_hours is not None:
        return first, second
    middle = early.start + (late.end - early.start) / 2
    latest, earliest = _window_of(first.wish, early).end, _window_of(second.wish, late).start
    if first.wish.owed_hours:
        latest = min(latest, early.start + timedelta(hours=first.wish.owed_hours))
    if second.wish.owed_hours:
        earliest = max(earliest, late.end - timedelta(hours=second.wish.owed_hours))
    edge = max(min(middle, latest), earliest)
    if edge > latest:
        return first, second
    return (
        replace(first, time=Interval(early.start, edge)),
        replace(second, time=Interval(edge, late.end)),
    )


def _until(slot: Slot, following: datetime | None) -> Slot:
    """The slot with its end as late as may be."""
    time, most = slot.time, _most_hours(slot.wish)
    if time is None:
        return slot
    ends = [_window_of(slot.wish, time).end]
    if following is not None:
        ends.append(following)
    if most is not None:
        ends.append(time.start + timedelta(hours=most))
    return replace(slot, time=Interval(time.start, max(time.end, min(ends))))


def _since(slot: Slot, before: datetime | None) -> Slot:
    """The slot with its beginning as early as may be."""
    time, most = slot.time, _most_hours(slot.wish)
    if time is None:
        return slot
    starts = [_window_of(slot.wish, time).start]
    if before is not None:
        starts.append(before)
    if most is not None:
        starts.append(time.end - timedelta(hours=most))
    return replace(slot, time=Interval(min(time.start, max(starts)), time.end))


def _window_of(wish: Wish, time: Interval) -> Interval:
    return next(each for each in wish.windows if each.start <= time.start < each.end)


def _order(dark: tuple[Interval, ...], slots: Sequence[Slot]) -> RunningOrder:
    said = [replace(each, words=each.words or _slot_words(each)) for each in slots]
    timed = tuple(each for each in said if each.time)
    times = tuple(sorted((each.time for each in timed if each.time), key=lambda each: each.start))
    gaps = (gap for span in dark for gap in outside(common(times, (span,)), span.start, span.end))
    return RunningOrder(
        dark=dark,
        slots=timed,
        left_out=tuple(each for each in said if not each.time),
        free=tuple(each for each in gaps if each.hours >= SHORTEST_HOURS),
    )


def _slot_words(slot: Slot) -> str:
    wish, hours = slot.wish, slot.hours
    if slot.time is None:
        longest_hours = max((each.hours for each in wish.windows), default=0.0)
        if not wish.windows:
            return "not clear in this night's darkness"
        if longest_hours < SHORTEST_HOURS:
            return f"clear for {max(1, round(longest_hours * 60.0))} min only"
        return "no time is left for it"
    if wish.wanted_hours is not None and hours < wish.wanted_hours - 0.02:
        return f"{hours:.1f} of {wish.wanted_hours:.1f} wanted hours"
    if wish.wanted_hours is None and wish.owed_hours and hours < wish.owed_hours - 0.02:
        return f"{hours:.1f} of {wish.owed_hours:.1f} owed hours"
    return ""
