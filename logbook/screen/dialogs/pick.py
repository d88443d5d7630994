"""Choosing one of many: type a piece of its name, arrows move, Enter takes it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from logbook.screen.dialogs.field import Field
from logbook.screen.widgets.line_input import LineInput
from logbook.screen.widgets.modal import Modal
from logbook.text import fold


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing to choose: what the answer is, how it is called, what more is shown of it."""

    answer: str
    name: str
    remark: str = ""


class Pick(Modal[str | None]):
    """A list that gets shorter while one types. The answer is that of the choice, None for none."""

    DEFAULT_CSS = """
    Pick #pick-line { height: 1; border: none; padding: 0; background: $panel; }
    Pick #pick-line:focus { border: none; background: $boost; }
    Pick #pick-list { height: auto; max-height: 16; border: none; padding: 0;
        background: $surface; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close, choosing nothing"),
        Binding("down", "move(1)", "Down", tooltip="To the next one"),
        Binding("up", "move(-1)", "Up", tooltip="To the one before"),
    ]

    FIELDS: ClassVar[tuple[Field, ...]] = (
        Field(
            "pick-line",
            "Name",
            required=False,
            help="A piece of the name; the list below gets shorter.",
            example="ring",
        ),
    )

    def __init__(self, heading: str, choices: Sequence[Choice], intro: str = "") -> None:
        super().__init__()
        self._heading = heading
        self._intro = intro
        self._choices = tuple(choices)

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            if self._intro:
                yield Static(Text(self._intro), markup=False, classes="pick-intro")
            line = LineInput(placeholder="type a piece of the name", id="pick-line")
            line.cursor_blink = False
            yield line
            choices = OptionList(id="pick-list", markup=False)
            choices.can_focus = False
            yield choices
            foot = "↑ ↓ move   Enter takes it   Escape leaves"
            yield Static(Text(foot), markup=False, classes="pick-foot")

    def on_mount(self) -> None:
        self._fill("")
        self.query_one(Input).focus()

    @property
    def _list(self) -> OptionList:
        return self.query_one("#pick-list", OptionList)

    def _fill(self, typed: str) -> None:
        wanted = fold(typed)
        self._list.clear_options()
        for each in self._choices:
            if wanted in fold(f"{each.name} {each.remark}"):
                line = Text(each.name, style="bold")
                line.append(f"  {each.remark}" if each.remark else "", style="not bold")
                self._list.add_option(Option(line, id=each.answer))
        if self._list.option_count:
            self._list.highlighted = 0

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self._fill(event.value)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        place = self._list.highlighted
        if place is not None:
            self.dismiss(self._list.get_option_at_index(place).id)

    def action_move(self, step: int) -> None:
        if step > 0:
            self._list.action_cursor_down()
        else:
            self._list.action_cursor_up()

    def action_leave(self) -> None:
        self.dismiss(None)
