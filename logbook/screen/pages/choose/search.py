"""Any object of the sky, found while its name is typed."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from logbook.screen.dialogs.field import Field
from logbook.screen.services.services import Desk
from logbook.screen.widgets.line_input import LineInput
from logbook.screen.widgets.modal import Modal

if TYPE_CHECKING:
    from logbook.sky.catalogue.name_search import Found


class SearchSheet(Modal[str | None]):
    """Ends with the id of an object, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Close", tooltip="Back to the page"),
        Binding("down", "move(1)", "Next", tooltip="The next object", priority=True),
        Binding("up", "move(-1)", "Before", tooltip="The object before", priority=True),
    ]

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field(
            "search-line",
            "Search",
            required=True,
            help="An object's name, a piece of it, or a number of a catalogue.",
            example="m31, veil, ngc 7000",
        ),
    )

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self.desk = desk
        self._found: list[Found] = []

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text("Search: a name or a number", style="bold"), markup=False)
            line = LineInput(id="search-line", max_length=80)
            line.cursor_blink = False
            yield line
            found = OptionList(id="search-list", markup=False)
            found.can_focus = False
            yield found
            yield Static(
                Text("↑ ↓ choose   Enter shows all about it   Escape closes", style="italic"),
                markup=False,
            )

    def on_mount(self) -> None:
        self.query_one(Input).focus()

    @property
    def _list(self) -> OptionList:
        return self.query_one(OptionList)

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self._found = self.desk.sky.search(event.value)
        self._list.clear_options()
        self._list.add_options([Option(_row(each)) for each in self._found])
        if self._found:
            self._list.highlighted = 0
        elif event.value.strip():
            self._list.add_options([Option(Text("Nothing is called so."), disabled=True)])

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        place = self._list.highlighted
        if place is not None and place < len(self._found):
            self.dismiss(self._found[place].id)

    def action_move(self, step: int) -> None:
        if self._found:
            place = (self._list.highlighted or 0) + step
            self._list.highlighted = min(max(0, place), len(self._found) - 1)

    def action_leave(self) -> None:
        self.dismiss(None)


def _row(found: "Found") -> Text:
    row = Text(found.shown, style="bold", no_wrap=True)
    matched = "" if found.matched in found.shown else f"  {found.matched}"
    row.append(f"{matched}  {found.kind}", style="not bold")
    return row
