"""Forms as data: fields described once, drawn by one widget, checked all at once.

Enter goes on, and keeps from the last field; ctrl+o keeps from anywhere; Escape keeps nothing.
What was understood is shown beside each field while one types.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import ClassVar, Generic, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import Input, Static

from logbook.errors import LogbookError
from logbook.screen.line_input import LineInput
from logbook.screen.modal import Modal

T = TypeVar("T")


def any_text(typed: str) -> str:
    """A check that lets everything pass and says nothing."""
    del typed
    return ""


@dataclass(frozen=True, slots=True)
class Field:
    """One field. `check` says what was understood, or raises BadInput with words.

    help -- what the field takes, for F1; example -- something that may be typed there.
    """

    name: str
    label: str
    value: str = ""
    hint: str = ""
    required: bool = True
    check: Callable[[str], str] = any_text
    help: str = field(kw_only=True)
    example: str = field(kw_only=True)


class Form(Modal[T | None], Generic[T]):
    """A form; `answer` makes its result of the typed values and may raise LogbookError."""

    DEFAULT_CSS = """
    Form .sheet { width: 100%; max-width: 84; height: auto; max-height: 100%; }
    Form VerticalScroll { height: auto; max-height: 1fr; }
    Form .form-intro { height: auto; }
    Form .field { height: auto; layout: horizontal; }
    Form .field-label { width: 20; }
    Form .field Input { width: 30; height: 1; border: none; padding: 0; background: $panel; }
    Form .field Input:focus { border: none; background: $boost; text-style: bold; }
    Form .field-said { width: 1fr; height: auto; padding: 0 0 0 1; }
    Form .form-foot { height: auto; text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close the form, keeping nothing"),
        Binding("ctrl+o", "keep", "Keep", tooltip="Keep what the form says", priority=True),
        # Before the scroll bar of a long form takes them.
        Binding("down", "move(1)", "Next field", tooltip="To the next field", priority=True),
        Binding("up", "move(-1)", "Field before", tooltip="To the field before", priority=True),
    ]
    KEEP_WORDS: ClassVar[str] = "Enter: next, and keep at the end   ctrl+o: keep   Escape: leave"

    def __init__(self, heading: str, fields: Sequence[Field], intro: str = "") -> None:
        super().__init__()
        self._heading = heading
        self._intro = intro
        self.fields = tuple(fields)

    def answer(self, values: dict[str, str]) -> T:
        """What the form comes to. Raises LogbookError with words for its foot."""
        raise LogbookError("this form keeps nothing")

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            if self._intro:
                yield Static(Text(self._intro), markup=False, classes="form-intro")
            with VerticalScroll(can_focus=False):
                for each in self.fields:
                    yield from self._compose_field(each)
            yield Static(Text(self.KEEP_WORDS), markup=False, classes="form-foot", id="form-foot")

    def _compose_field(self, each: Field) -> ComposeResult:
        with Horizontal(classes="field"):
            yield Static(Text(each.label), markup=False, classes="field-label")
            line = LineInput(each.value, id=f"field-{each.name}", select_on_focus=True)
            line.cursor_blink = False
            yield line
            yield Static(
                Text(each.hint), markup=False, classes="field-said", id=f"said-{each.name}"
            )

    def on_mount(self) -> None:
        for each in self.fields:
            self._say(each)
        self._input(self._first_to_fill()).focus()

    def _first_to_fill(self) -> Field:
        empty = (each for each in self.fields if each.required and not each.value)
        return next(empty, self.fields[0])

    def _input(self, each: Field) -> Input:
        return self.query_one(f"#field-{each.name}", Input)

    def values(self) -> dict[str, str]:
        """What is typed, by field name."""
        return {each.name: self._input(each).value.strip() for each in self.fields}

    def _say(self, each: Field) -> bool:
        """Say beside the field what was understood or what is wrong; whether it may be kept."""
        typed = self._input(each).value.strip()
        said = self.query_one(f"#said-{each.name}", Static)
        if not typed:
            said.update(Text(each.hint))
            return not each.required
        try:
            said.update(Text(each.check(typed)))
        except LogbookError as error:
            said.update(Text(str(error), style="reverse"))
            return False
        return True

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self._say(self._field_of(event.input))

    def _field_of(self, line: Input) -> Field:
        return next(each for each in self.fields if f"field-{each.name}" == line.id)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self._field_of(event.input) is self.fields[-1]:
            self.action_keep()
        else:
            self.action_move(1)

    def action_move(self, step: int) -> None:
        focused = self.focused
        if isinstance(focused, Input):
            place = self.fields.index(self._field_of(focused)) + step
            if 0 <= place < len(self.fields):
                self._input(self.fields[place]).focus()

    def action_leave(self) -> None:
        self.dismiss(None)

    def action_keep(self) -> None:
        """Keep, or show everything that is wrong and go to the first of it."""
        wrong = [each for each in self.fields if not self._say(each)]
        for each in wrong:
            if not self._input(each).value.strip():
                self.query_one(f"#said-{each.name}", Static).update(
                    Text(f"needed: {each.hint}" if each.hint else "needed", style="reverse")
                )
        if wrong:
            self._input(wrong[0]).focus()
            self.foot(f"{len(wrong)} to mend first")
            return
        try:
            self.finish(self.answer(self.values()))
        except LogbookError as error:
            self.foot(str(error))

    def finish(self, result: T) -> None:
        """Close with the result; a form that has to write first does it here."""
        self.dismiss(result)

    def foot(self, words: str) -> None:
        """Say something at the foot of the form."""
        self.query_one("#form-foot", Static).update(Text(words, style="reverse"))
