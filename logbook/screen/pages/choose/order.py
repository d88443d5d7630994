"""The running order of the chosen night on a sheet; every change of it is saved."""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.errors import BadInput
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.live_sheet import ListSheet, room_of, save
from logbook.screen.dialogs.start_object import start_object
from logbook.screen.pages.choose.night import night_of
from logbook.screen.pages.choose.object import ObjectSheet
from logbook.screen.pages.choose.picking import Change, Plan, change, read_plan
from logbook.screen.pages.choose.project_form import hours_typed, said_hours
from logbook.screen.pages.choose.words import short
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.sky.ranking.running_order import (
    RunningOrder,
    Slot,
    in_this_order,
    moved,
    removed,
    running_order,
    with_hours,
)

_STEPS = {"u": -1, "d": 1}  # keys that move an object


class OrderSheet(ListSheet[Plan]):
    """Slots with their times, then what finds no time. Every change is asked about, then saved."""

    KEY_WORDS = "u d up, down  h hours  x out  o best  c clear  i about  Enter start  Escape"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("u", "move(-1)", "Earlier", tooltip="Move the object one place up"),
        Binding("d", "move(1)", "Later", tooltip="Move the object one place down"),
        Binding("h", "hours", "Hours", tooltip="Set how long; empty for as long as fits"),
        Binding("x", "remove", "Take out", tooltip="Take the object out"),
        Binding("o", "best", "Best order", tooltip="Lay all out in the order that serves best"),
        Binding("c", "clear", "Clear", tooltip="Take everything out"),
        Binding("i", "object", "Object", tooltip="All about the object"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, f"Running order of the night of {desk.chosen_date:%A %d %B}")

    def work_out(self) -> Plan:
        desk = self.desk
        order = desk.view.running_order(desk.chosen_date)
        return read_plan(desk.sky, night_of(desk), order.items if order else ())

    def top_words(self, found: Plan) -> Text:
        if not found.ids:
            return Text("Nothing is planned: space on an object of the list puts it in.")
        free = [_span(self.desk, each.start, each.end) for each in found.kept.free]
        return Text(f"Free in the dark: {', '.join(free)}" if free else "No gap in the dark.")

    def rows(self, found: Plan) -> list[Text]:
        slots = [*found.kept.slots, *found.kept.left_out]
        wide = room_of(self)[0] >= 70
        return [_row(self.desk, at, each, wide=wide) for at, each in enumerate(slots, start=1)]

    def about_words(self, found: Plan, place: int) -> Text:
        slot = [*found.kept.slots, *found.kept.left_out][place]
        windows = ", ".join(_span(self.desk, each.start, each.end) for each in slot.wish.windows)
        words = [f"Clear in the dark {windows}" if windows else "Never clear in the dark"]
        if slot.wish.owed_hours:
            words.append(f"{slot.wish.owed_hours:.1f} h owed to its projects")
        if slot.words:
            words.append(slot.words)
        return Text("; ".join(words))

    def taken(self, found: Plan, place: int) -> None:
        self.dismiss(None)
        start_object(self.app, self.desk, found.ids[place])

    # --- changing ---

    def question_before(self, key: str) -> str:
        chosen = _chosen(self)
        if chosen is None or self.found is None:
            return ""
        name = self.found.targets[chosen].name
        asked = {
            "x": f"take {name} out",
            "o": "lay all out in the order that serves best",
            "c": "take everything out",
        }
        if _place_after(self, _STEPS.get(key, 0)) is not None:
            asked |= {"u": f"move {name} one place up", "d": f"move {name} one place down"}
        return asked.get(key, "")

    def action_move(self, step: int) -> None:
        chosen, to = _chosen(self), _place_after(self, step)
        if chosen is not None and to is not None:
            _change(self, lambda order: moved(order, _at(order, chosen), to), "another order.")
            self.listed.bring(to)

    def action_remove(self) -> None:
        chosen = _chosen(self)
        if chosen is not None:
            _change(self, lambda order: removed(order, _at(order, chosen)), "one less.")

    def action_best(self) -> None:
        _change(self, lambda order: running_order(order.wishes, order.dark), "the best order.")

    def action_clear(self) -> None:
        _change(self, lambda order: in_this_order((), order.dark), "nothing is planned.")

    def action_hours(self) -> None:
        chosen = _chosen(self)
        if chosen is not None and self.found is not None:
            name = self.found.targets[chosen].name
            make = partial(_timed, self.desk, chosen)
            about = f"{self.desk.chosen_date} {chosen}"
            self.app.push_screen(HoursForm(name, make, about), partial(save, self))

    def action_object(self) -> None:
        chosen = _chosen(self)
        if chosen is not None:
            self.app.push_screen(ObjectSheet(self.desk, chosen))


def _chosen(sheet: OrderSheet) -> str | None:
    place, found = sheet.listed.place, sheet.found
    return None if found is None or place is None or place >= len(found.ids) else found.ids[place]


def _place_after(sheet: OrderSheet, step: int) -> int | None:
    """Where the chosen object would be; None where it can't be moved."""
    place, found = sheet.listed.place, sheet.found
    if place is None or found is None or not 0 <= place + step < len(found.ids):
        return None
    return place + step


def _change(sheet: OrderSheet, how: Change, said: str) -> None:
    save(sheet, change(sheet.desk, how, said))


def _row(desk: Desk, place: int, slot: Slot, *, wide: bool) -> Text:
    row = Text(f"{place:2} ", style="bold", no_wrap=True)
    if slot.from_utc is None or slot.to_utc is None:
        row.append(f"{'no time':11}       ", "italic")
    else:
        row.append(f"{_span(desk, slot.from_utc, slot.to_utc)} {slot.hours:4.1f} h ", "not bold")
    row.append(f"{short(slot.wish.name, 28):28}", "bold")
    if slot.meridian_utc is not None and wide:
        row.append(f" meridian {desk.event_words(slot.meridian_utc)}", "not bold")
    return row


def _span(desk: Desk, start: datetime, end: datetime) -> str:
    return f"{desk.event_words(start)}–{desk.event_words(end)}"


class HoursForm(Form[Job]):
    """How long one object gets."""

    def __init__(self, name: str, make: Callable[[float | None], Job], about: str) -> None:
        self._make = make
        hours = Field(
            "hours",
            "Hours",
            hint="empty: as long as fits",
            required=False,
            check=said_hours,
            help="How long it gets tonight. Empty: as long as it stands well.",
            example="2, 1 h 30, 45 min",
        )
        super().__init__(f"How long for {name}", [hours], about=about)

    def answer(self, values: dict[str, str]) -> Job:
        return self._make(hours_typed(values["hours"]) if values["hours"] else None)


def _timed(desk: Desk, object_id: str, hours: float | None) -> Job:
    said = "as long as fits." if hours is None else f"{hours:g} h."
    return change(desk, lambda order: with_hours(order, _at(order, object_id), hours), said)


def _at(order: RunningOrder, object_id: str) -> int:
    """The place of an object. Raises BadInput if it was taken out meanwhile."""
    ids = [each.object_id for each in order.wishes]
    if object_id not in ids:
        raise BadInput(f"{object_id} is not in the running order any more")
    return ids.index(object_id)
