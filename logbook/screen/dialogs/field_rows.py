"""The fields of a form as they stand on the screen: what is typed, what is shown beside it."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.events import Paste
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Input, Static

from logbook.errors import LogbookError
from logbook.screen.dialogs.field import Field, Remark
from logbook.screen.widgets.line_input import LineInput
from logbook.text import NOT_WHOLE, did_not_arrive_whole

Together = Callable[[dict[str, str]], Mapping[str, Remark]]


class FieldInput(LineInput):
    """A field's text. Of several pasted lines each goes to a field of its own."""

    def __init__(self, rows: "FieldRows", each: Field) -> None:
        super().__init__(each.value, id=f"field-{each.name}", select_on_focus=True)
        self.cursor_blink = False
        self._rows = rows

    def _on_paste(self, event: Paste) -> None:
        lines = event.text.splitlines()
        if len(lines) > 1:
            event.stop()
            event.prevent_default()
            self._rows.take_pasted(self, lines)


class FieldRows:
    """A row for each field, on the screen of one form.

    begin_in -- the field to begin in, unless one must be filled; say_at_foot -- says what is about
    no single field.
    """

    def __init__(
        self,
        screen: Screen[Any],
        fields: Sequence[Field],
        begin_in: str,
        say_at_foot: Callable[[str], None],
    ) -> None:
        self.fields = tuple(fields)
        self.proposed = {each.name: each.value for each in fields}
        self.remarks: Mapping[str, Remark] = {}
        self.save_asked = False  # it was to be saved once: what is missing is shown
        self._screen, self._begin_in, self._say_at_foot = screen, begin_in, say_at_foot
        self._beside: dict[str, tuple[str, str]] = {}  # words and their style, as shown

    def compose(self, each: Field) -> ComposeResult:
        """The widgets of one field."""
        with Horizontal(classes="field"):
            yield Static(Text(each.label), markup=False, classes="field-label")
            yield FieldInput(self, each)
            yield Static(
                Text(each.hint), markup=False, classes="field-said", id=f"said-{each.name}"
            )

    # --- what is typed ---

    def line(self, name: str) -> Input:
        """Where the field of that name is typed."""
        return self._screen.query_one(f"#field-{name}", Input)

    def texts(self) -> dict[str, str]:
        """What is typed, as it is typed, by field name."""
        return {each.name: self.line(each.name).value for each in self.fields}

    def values(self) -> dict[str, str]:
        """What is typed, by field name."""
        return {name: text.strip() for name, text in self.texts().items()}

    def fill(self, values: Mapping[str, str]) -> None:
        """Put values in all fields; nothing is shown of it."""
        with self._screen.prevent(Input.Changed):
            for each in self.fields:
                self.line(each.name).value = values[each.name]

    def take_proposed(self, line: Widget | None) -> bool:
        """Put in the field what is proposed beside it; whether anything is."""
        if not isinstance(line, Input):
            return False
        remark = self.remarks.get(self.fields[self._place(line)].name)
        if remark is None or not remark.proposed:
            return False
        line.value = remark.proposed
        line.cursor_position = len(remark.proposed)
        return True

    def take_pasted(self, line: Input, lines: Sequence[str]) -> None:
        """Put pasted lines in the fields from this one on; a pasted line end never saves."""
        line.replace(lines[0], *sorted(line.selection))
        first = self._place(line) + 1
        others = self.fields[first : first + len(lines) - 1]
        for each, text in zip(others, lines[1:], strict=False):
            self.line(each.name).value = text
        if others:
            self._screen.set_focus(self.line(others[-1].name))
        left = len(lines) - 1 - len(others)
        if left:
            words = f"{left} pasted {'line' if left == 1 else 'lines'} not taken: no field left"
            self._say_at_foot(words)

    # --- from field to field ---

    def focus(self, each: Field) -> None:
        """Put the cursor in a field."""
        self.line(each.name).focus()

    def first_to_fill(self) -> Field:
        """The field to begin in."""
        empty = (each for each in self.fields if each.required and not each.value)
        begin_in = (each for each in self.fields if each.name == self._begin_in)
        return next(empty, next(begin_in, self.fields[0]))

    def following(self, line: Widget) -> Field | None:
        """The field that Enter goes on to; None from the last one."""
        place = self._place(line) + 1
        return self.fields[place] if place < len(self.fields) else None

    def moved(self, line: Widget | None, step: int) -> Field | None:
        """The field above or below; None where there is none."""
        if not isinstance(line, Input):
            return None
        place = self._place(line) + step
        return self.fields[place] if 0 <= place < len(self.fields) else None

    def _place(self, line: Widget) -> int:
        names = [f"field-{each.name}" for each in self.fields]
        return names.index(line.id or "")

    # --- what is shown ---

    def say(self, name: str, words: str, style: str = "") -> None:
        """Say something beside a field."""
        if self._beside.get(name) != (words, style):
            self._beside[name] = (words, style)
            self._screen.query_one(f"#said-{name}", Static).update(Text(words, style=style))

    def say_all(self, together: Together) -> list[Field]:
        """Show beside every field what is to be shown of it; those that must be mended first."""
        wrong = {each.name for each in self.fields if not self._say_checked(each)}
        found = together(self.values())
        self.remarks = {name: found[name] for name in found if name not in wrong}
        for name, remark in self.remarks.items():
            self.say(name, remark.words, "bold" if remark.asks else "reverse")
        refused = {name for name, remark in self.remarks.items() if not remark.asks}
        return [each for each in self.fields if each.name in wrong | refused]

    def doubted(self) -> list[Field]:
        """The fields beside which something is remarked."""
        return [each for each in self.fields if each.name in self.remarks]

    def _say_checked(self, each: Field) -> bool:
        """Show beside the field what was understood or what is wrong; whether it may be saved."""
        typed = self.line(each.name).value.strip()
        if not typed:
            missing = each.required and self.save_asked
            words = f"needed: {each.hint}".removesuffix(": ") if missing else each.hint
            self.say(each.name, words, "reverse" if missing else "")
            return not each.required
        if typed != each.value and did_not_arrive_whole(typed):
            self.say(each.name, NOT_WHOLE, "reverse")
            return False
        try:
            self.say(each.name, each.check(typed))
        except LogbookError as error:
            self.say(each.name, str(error), "reverse")
            return False
        return True
