"""Choose: for this train and this night, what is worth doing, ranked, each with its reasons."""

from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container, VerticalScroll
from textual.widgets import DataTable, Static

from logbook.screen.pages.choose.keys import (
    CHOOSE_KEYS,
    begin_start,
    leave_limits,
    save_as_set,
    use_typed,
)
from logbook.screen.pages.choose.limits import LimitsLine
from logbook.screen.pages.choose.list import ChooseList
from logbook.screen.services.services import Desk
from logbook.screen.widgets.page import Page
from logbook.screen.widgets.page_keys import bindings_of


class ChoosePage(Page):
    """The ranked list, and beside or under it why the chosen one is worth it."""

    TITLE = "Choose"
    KEYS = CHOOSE_KEYS
    BINDINGS: ClassVar[list[BindingType]] = bindings_of(KEYS)

    def __init__(self, desk: Desk, *, id: str) -> None:  # noqa: A002
        super().__init__(desk, id=id)
        self.held: ChooseList = ChooseList(self)

    def compose(self) -> ComposeResult:
        yield Static(id="choose-head", markup=False)
        yield LimitsLine(id="choose-limits")
        with Container(id="choose-body"):
            table: DataTable[Text] = DataTable(id="choose-list", cursor_type="row")
            table.cursor_foreground_priority = "css"
            yield table
            with VerticalScroll(id="choose-why", can_focus=False):
                yield Static(id="choose-words", markup=False)

    def on_resize(self) -> None:
        """A wide screen shows more columns, and drawings beside the list."""
        self.redraw_sky()

    def take_focus(self) -> None:
        self.held.table.focus()

    def redraw(self) -> None:
        self.held.redraw()

    def redraw_sky(self) -> None:
        self.redraw()
        self.held.explain()

    def takes(self, key: str) -> bool:
        """A digit is a key only where it stands for a set of limits."""
        place = int(key) if key in set("123456789") else 0
        return super().takes(key) and place <= len(self.desk.view.limit_sets)

    def give_way(self) -> None:
        if self.held.limits_line.display:
            self.held.limits_line.forget_typed()
            leave_limits(self.held)

    # --- the list ---

    @on(DataTable.RowHighlighted)
    def _highlighted(self) -> None:
        self.held.explain()

    @on(DataTable.RowSelected)
    def _selected(self) -> None:
        begin_start(self.held)

    # --- the line of limits ---

    @on(LimitsLine.Typed)
    def _limits_typed(self, event: LimitsLine.Typed) -> None:
        self.held.use(event.limits)

    @on(LimitsLine.Taken)
    def _limits_taken(self, event: LimitsLine.Taken) -> None:
        use_typed(self.held, event.limits)

    @on(LimitsLine.Left)
    def _limits_left(self) -> None:
        leave_limits(self.held)

    @on(LimitsLine.SaveAsked)
    def _save_asked(self) -> None:
        save_as_set(self.held)

    @on(LimitsLine.Moved)
    def _moved(self, event: LimitsLine.Moved) -> None:
        table = self.held.table
        table.move_cursor(row=table.cursor_row + event.step)
