"""Narrowing a search: a list of filters, each with its values and how many lines have them."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option
from textual.worker import get_current_worker

from logbook.entryline.format import counted
from logbook.errors import BadInput, LogbookError
from logbook.records.search import Wanted
from logbook.screen.dialogs.pick import Choice, Pick
from logbook.screen.pages.past.search_words import (
    FILTERS,
    Filter,
    day_typed,
    put,
    value_of,
    without,
)
from logbook.screen.services.failures import TellsFailures
from logbook.screen.services.services import Desk
from logbook.screen.widgets.modal import Modal

if TYPE_CHECKING:
    from logbook.records.search import Counted

_KEYS = "↑ ↓ choose   Enter picks   Delete takes off   Escape back"


_NONE = {
    "kinds": "Nothing is found that could be narrowed.",
    "object_name": "No line that is found is of an object.",
    "part_name": "No line that is found is on a part, or had a train in use.",
    "train_name": "No line that is found had a train in use.",
}
_ONLY = {
    "kinds": "of this kind",
    "object_name": "of this object",
    "part_name": "on this part, or with it in use",
    "train_name": "with this train in use",
    "first": "from this day on",
    "last": "up to this day",
}


class PickDay(Pick):
    """Years to pick from, or any date, month or year typed."""

    def __init__(
        self, heading: str, choices: Sequence[Choice], tonight: date, *, last: bool
    ) -> None:
        hint = "A year of the list, or type 2024-05-17, 2024-05 or yesterday."
        super().__init__(heading, choices, hint)
        self._tonight, self._last = tonight, last

    def _fill(self, typed: str) -> None:
        super()._fill(typed)
        try:
            day = day_typed(typed, self._tonight, last=self._last).isoformat()
        except BadInput:
            return
        if self._list.option_count == 0:
            self._list.add_option(Option(Text(day, style="bold"), id=typed.strip()))
            self._list.highlighted = 0


class NarrowSheet(TellsFailures, Modal[Wanted | None]):
    """Ends with the search as it was narrowed or widened, None if it was left as it is."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,tab,shift+tab", "leave", "Back", tooltip="Back to the search"),
        Binding("delete,backspace", "take_off", "Off", tooltip="Take this filter off"),
    ]
    DEFAULT_CSS = """
    NarrowSheet #narrow-list { height: auto; max-height: 9; border: none; padding: 0;
        background: $surface; }
    NarrowSheet #narrow-list:focus { border: none; }
    """

    class ValuesCounted(Message):
        """How many lines each value has; or why that is not known."""

        def __init__(self, picked: Filter, values: "tuple[Counted, ...]", words: str = "") -> None:
            super().__init__()
            self.picked = picked
            self.values = values
            self.words = words

    def __init__(self, desk: Desk, wanted: Wanted) -> None:
        super().__init__()
        self.desk = desk
        self.wanted = wanted

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("Narrow the search", style="bold"), markup=False)
            yield OptionList(*self._rows(), id="narrow-list", markup=False)
            yield Static(Text(_KEYS, style="italic"), id="narrow-foot", markup=False)

    def _rows(self) -> list[Option]:
        rows = [
            Option(Text(f"{each.label:8}{value_of(self.wanted, each.name) or 'any'}"))
            for each in FILTERS
        ]
        return [*rows, Option(Text("All off"), disabled=not self.wanted.is_narrowed)]

    def on_mount(self) -> None:
        self._list.focus()
        self._list.highlighted = 0

    @property
    def _list(self) -> OptionList:
        return self.query_one("#narrow-list", OptionList)

    @property
    def _chosen(self) -> Filter | None:
        place = self._list.highlighted
        return FILTERS[place] if place is not None and place < len(FILTERS) else None

    def _say(self, words: str) -> None:
        self.query_one("#narrow-foot", Static).update(Text(words, style="bold"))

    @on(OptionList.OptionSelected, "#narrow-list")
    def _selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        chosen = self._chosen
        if chosen is None:
            self.dismiss(Wanted(self.wanted.words))
            return
        self._say("Being counted ...")
        self._count(chosen)

    @work(thread=True, exclusive=True, exit_on_error=False, group="count")
    def _count(self, chosen: Filter) -> None:
        worker = get_current_worker()
        book = self.desk.book
        if book is None:
            return
        try:
            wider = without(self.wanted, chosen.name)
            if chosen.counted_by == "year":
                wider = replace(wider, first=None, last=None)
            values = book.search.counted(wider, chosen.counted_by)
            message = self.ValuesCounted(chosen, values)
        except LogbookError as error:
            message = self.ValuesCounted(chosen, (), str(error))
        if not worker.is_cancelled:
            self.post_message(message)

    @on(ValuesCounted)
    def _counted(self, event: ValuesCounted) -> None:
        event.stop()
        if event.words:
            self._say(event.words)
            return
        chosen = event.picked
        if not event.values and chosen.counted_by != "year":
            self._say(_NONE[chosen.name])
            return
        self._say(_KEYS)
        choices = [
            Choice(each.value, each.value, counted(each.entries, "line")) for each in event.values
        ]
        heading = f"{chosen.label}: only lines {_ONLY[chosen.name]}"
        if chosen.counted_by == "year":
            newest_first = PickDay(
                heading, choices[::-1], self.desk.night_date, last=chosen.name == "last"
            )
            self.app.push_screen(newest_first, self._picked)
        else:
            self.app.push_screen(Pick(heading, choices), self._picked)

    def _picked(self, answer: str | None) -> None:
        chosen = self._chosen
        if answer is None or chosen is None:
            return
        try:
            self.dismiss(put(self.wanted, chosen.name, answer, self.desk.night_date))
        except BadInput as error:
            self._say(str(error))

    def action_take_off(self) -> None:
        chosen = self._chosen
        if chosen is None or not value_of(self.wanted, chosen.name):
            self._say("This one is off already.")
            return
        self.dismiss(without(self.wanted, chosen.name))

    def action_leave(self) -> None:
        self.dismiss(None)
