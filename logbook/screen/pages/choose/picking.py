"""The running order changed: each change is laid out anew and saved at once.

Jobs here run in the writer's thread, and calculate the windows of objects before they may write.
Hours that the user set are saved in an item's note, so that laying out anew does not forget them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from logbook.errors import NotFound
from logbook.records.choosing import OrderItem
from logbook.screen.pages.choose.night import calculations, night_of
from logbook.screen.services.run_job import Job, Prepared
from logbook.sky.ranking.running_order import (
    KeptItem,
    RunningOrder,
    Slot,
    Wish,
    added,
    as_kept,
    in_this_order,
    removed,
)

if TYPE_CHECKING:
    from logbook.records.entries import TargetCopy
    from logbook.screen.services.services import Desk
    from logbook.screen.services.sky import SkyDesk
    from logbook.sky.ranking.tonight import Tonight
    from logbook.store.book import Book

_WISHED = re.compile(r"(?P<hours>[\d.]+) h wished(?:; )?")

Change = Callable[[RunningOrder], RunningOrder]
WishOf = Callable[["TargetCopy"], Wish]


@dataclass(frozen=True)
class Plan:
    """The running order of a night: as it is saved, and as it may be changed.

    changeable -- with hours set only where the user set them.
    """

    kept: RunningOrder
    changeable: RunningOrder
    targets: dict[str, TargetCopy]

    @property
    def ids(self) -> list[str]:
        """Objects in the order shown."""
        return [each.object_id for each in self.kept.wishes]


def read_plan(sky: SkyDesk, tonight: Tonight, items: Sequence[OrderItem]) -> Plan:
    """The order that a book holds, with what the sky allows. For worker threads."""
    return _plan(lambda target: wish_for(sky, tonight, target), tonight, items)


def _plan(find_wish: WishOf, tonight: Tonight, items: Sequence[OrderItem]) -> Plan:
    targets = {each.target.catalogue_id: each.target for each in items}
    wishes = {each.target.catalogue_id: _wish(find_wish, each) for each in items}
    dark = tonight.ranking.darkness.intervals
    kept = [
        KeptItem(each.target.catalogue_id, each.target.name, each.from_utc, each.to_utc, each.note)
        for each in items
    ]
    return Plan(
        kept=as_kept(kept, wishes, dark),
        changeable=in_this_order(tuple(wishes.values()), dark),
        targets=targets,
    )


def wish_for(sky: SkyDesk, tonight: Tonight, target: TargetCopy) -> Wish:
    """An object with its windows of the night: of the ranking, a star, the Moon or a planet."""
    ranking, object_id = tonight.ranking, target.catalogue_id
    if ranking.prepared.targets.catalogue.row(object_id) is not None:
        return calculations().wishes(ranking, [object_id])[0]
    site, night = tonight.site, tonight.night.local_date
    if calculations().is_body(object_id):
        _, seen = calculations().seen_body(site, object_id, night, ranking.limits)
    else:
        seen = calculations().object_tonight(site, sky.thing(object_id), night, ranking.limits)
    return Wish(object_id, target.name, seen.windows, seen.transit_utc)


def pick(desk: Desk, object_id: str) -> Job:
    """Put an object into the running order where it fits best, or take it out again."""
    change_order = _Changer(desk)

    def job(book: Book) -> str:
        plan = change_order.plan(book)
        if object_id in plan.ids:
            place = [each.object_id for each in plan.changeable.wishes].index(object_id)
            order = removed(plan.changeable, place)
            return change_order.keep(book, plan, order, f"{plan.targets[object_id].name} is out.")
        found = change_order.find(object_id)
        order = added(plan.changeable, change_order.wish(found))
        plan.targets[object_id] = found
        return change_order.keep(book, plan, order, _place_words(desk, order, object_id))

    def prepare(book: Book) -> None:
        if object_id not in change_order.plan(book).ids:
            change_order.wish(change_order.find(object_id))

    return Prepared(prepare, job)


def change(desk: Desk, how: Change, said: str) -> Job:
    """Change the running order; `how` gets it as it may be changed."""
    change_order = _Changer(desk)

    def job(book: Book) -> str:
        plan = change_order.plan(book)
        return change_order.keep(book, plan, how(plan.changeable), said)

    return Prepared(change_order.plan, job)


class _Changer:
    """The night that the key was pressed for, whatever is chosen meanwhile.

    The windows of an object are calculated once.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._site_id = desk.view.site.id if desk.view.site else 0
        self._date = desk.chosen_date
        self._wishes: dict[str, Wish] = {}
        try:
            self._tonight: Tonight | None = night_of(desk)
        except NotFound:
            self._tonight = None

    @property
    def tonight(self) -> Tonight:
        if self._tonight is None:
            raise NotFound("The night is being worked out: press the key again in a moment.")
        return self._tonight

    def plan(self, book: Book) -> Plan:
        newest = book.running_orders.newest(self._site_id, self._date)
        return _plan(self.wish, self.tonight, newest.items if newest else ())

    def find(self, object_id: str) -> TargetCopy:
        found = self._desk.sky.find(object_id)
        if found is None:
            raise NotFound(f"There is no object {object_id} to plan.")
        return found

    def wish(self, target: TargetCopy) -> Wish:
        known = self._wishes.get(target.catalogue_id)
        if known is None:
            known = wish_for(self._desk.sky, self.tonight, target)
            self._wishes[target.catalogue_id] = known
        return known

    def keep(self, book: Book, plan: Plan, order: RunningOrder, said: str) -> str:
        book.running_orders.keep(self._site_id, self._date, items_of(order, plan.targets))
        return f"Kept in the running order: {said}"


def items_of(order: RunningOrder, targets: dict[str, TargetCopy]) -> tuple[OrderItem, ...]:
    """What the book keeps of an order."""
    return tuple(
        OrderItem(targets[each.wish.object_id], each.from_utc, each.to_utc, _note(each))
        for each in (*order.slots, *order.left_out)
    )


def _note(slot: Slot) -> str:
    wished = slot.wish.wanted_hours
    words = [] if wished is None else [f"{wished:g} h wished"]
    return "; ".join([*words, *([slot.words] if slot.words else [])])


def _wish(find_wish: WishOf, item: OrderItem) -> Wish:
    try:
        found = find_wish(item.target)
    except NotFound:  # planned from a catalogue that this program does not have
        found = Wish(item.target.catalogue_id, item.target.name, ())
    wished = _WISHED.match(item.note)
    return replace(found, wanted_hours=float(wished["hours"])) if wished else found


def _place_words(desk: Desk, order: RunningOrder, object_id: str) -> str:
    for place, slot in enumerate(order.slots, start=1):
        if slot.wish.object_id == object_id and slot.from_utc and slot.to_utc:
            times = f"{desk.event_words(slot.from_utc)}–{desk.event_words(slot.to_utc)}"
            return f"{slot.wish.name} is number {place}, {times}."
    for slot in order.left_out:
        if slot.wish.object_id == object_id:
            return f"{slot.wish.name}, but without a time: {slot.words or 'it does not fit'}."
    return object_id
