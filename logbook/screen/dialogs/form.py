"""Forms as data: fields described once, drawn by one widget, checked all at once.

Enter goes on, and keeps from the last field; ctrl+o keeps from anywhere. Escape leaves: what was
typed stays a draft, there again when the form is next opened, also after a kill.
What was understood is shown beside each field while one types, and what the fields cannot be
together beside the field that it is about.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import sha256
from typing import ClassVar, Generic, Protocol, TypeVar, runtime_checkable

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Paste
from textual.widgets import Input, Static

from logbook.errors import BadInput, LogbookError
from logbook.screen.services.form_draft import FormDraft, draft_lines, read_draft
from logbook.screen.widgets.line_input import LineInput
from logbook.screen.widgets.modal import Modal
from logbook.screen.widgets.question import Question
from logbook.text import NOT_WHOLE, did_not_arrive_whole

T = TypeVar("T")
_LONGEST_PLACE = 80  # characters
_SAME_BEGINNING = 2  # characters; a text that begins with the old one's was edited
_MOST_NAMED = 3  # fields, in a question


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


@runtime_checkable
class HoldsDrafts(Protocol):
    """An app that saves what is half typed in forms."""

    def form_draft(self, place: str) -> FormDraft | None:
        """The draft of that place; None while there is no book."""
        ...

    def now(self) -> datetime:
        """The time by the app's clock."""
        ...

    def when_words(self, instant: datetime | None) -> str:
        """When that was, to follow a verb: ` at 21:14`; how long ago, if before this night."""
        ...

    def say_left(self, words: str) -> None:
        """Say what became of a form that was left."""
        ...

    def warn(self, words: str) -> None:
        """Say something that stays until it is dismissed."""
        ...


@dataclass(frozen=True, slots=True)
class Remark:
    """What is to be shown beside a field in the light of the others.

    proposed -- what Tab puts in the field instead.
    asks -- it is only doubted: a question comes before it is saved as typed.
    """

    words: str
    proposed: str = ""
    asks: bool = False


class WrongField(BadInput):
    """What was typed in one field cannot be; the words stand beside it."""

    def __init__(self, field: str, words: str) -> None:
        super().__init__(words)
        self.field = field


class FieldInput(LineInput):
    """A field's text. Of several pasted lines each goes to a field of its own."""

    def _on_paste(self, event: Paste) -> None:
        lines = event.text.splitlines()
        if len(lines) > 1 and isinstance(self.screen, Form):
            event.stop()
            event.prevent_default()
            self.screen.take_pasted(self, lines)


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
    Form .form-left { height: auto; text-style: bold; display: none; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "Leave", tooltip="Close the form; what was typed stays in it"),
        Binding("ctrl+l", "empty", "Empty", tooltip="The form as it was before anything was typed"),
        Binding("ctrl+o", "keep", "Keep", tooltip="Keep what the form says", priority=True),
        # Before the scroll bar of a long form takes them.
        Binding("down", "move(1)", "Next field", tooltip="To the next field", priority=True),
        Binding("up", "move(-1)", "Field before", tooltip="To the field before", priority=True),
        Binding("tab", "complete", "Take it", tooltip="Take what is proposed, else the next field"),
    ]
    KEEP_WORDS: ClassVar[str] = "Enter: next, and keep at the end   ctrl+o: keep   Escape: leave"

    def __init__(
        self, heading: str, fields: Sequence[Field], intro: str = "", *, about: str = ""
    ) -> None:
        """about -- what parts its draft from others of its kind: ids, as names may change."""
        super().__init__()
        self._draft_about = about
        self._form_draft: FormDraft | None = None
        self._save_asked = False  # it was to be saved once: what is missing is shown
        self._left_values: dict[str, str] = {}  # changed values as they were left
        self._left_words = ""  # when they were
        self._put_values: dict[str, str] = {}  # changed values as they were put in the draft last
        self._heading = heading
        self._intro = intro
        self.fields = tuple(fields)
        self._remarks: Mapping[str, Remark] = {}
        self._beside: dict[str, tuple[str, str]] = {}  # words and their style, as shown

    def answer(self, values: dict[str, str]) -> T:
        """What the form comes to. Raises LogbookError with words for its foot."""
        raise LogbookError("this form keeps nothing")

    def together(self, values: dict[str, str]) -> Mapping[str, Remark]:
        """What the fields say together that cannot be or is doubted, by field; raises nothing."""
        del values
        return {}

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            if self._intro:
                yield Static(Text(self._intro), markup=False, classes="form-intro")
            yield Static(markup=False, classes="form-left", id="form-left")
            with VerticalScroll(can_focus=False):
                for each in self.fields:
                    yield from self._compose_field(each)
            yield Static(Text(self.KEEP_WORDS), markup=False, classes="form-foot", id="form-foot")

    def _compose_field(self, each: Field) -> ComposeResult:
        with Horizontal(classes="field"):
            yield Static(Text(each.label), markup=False, classes="field-label")
            line = FieldInput(each.value, id=f"field-{each.name}", select_on_focus=True)
            line.cursor_blink = False
            yield line
            yield Static(
                Text(each.hint), markup=False, classes="field-said", id=f"said-{each.name}"
            )

    def on_mount(self) -> None:
        self._form_draft = self.find_draft()
        self._restore()
        self._say_all()
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
        """Show beside the field what was understood or what is wrong; whether it may be saved."""
        typed = self._input(each).value.strip()
        if not typed:
            missing = each.required and self._save_asked
            words = f"needed: {each.hint}".removesuffix(": ") if missing else each.hint
            self._say_beside(each.name, words, "reverse" if missing else "")
            return not each.required
        if typed != each.value and did_not_arrive_whole(typed):
            self._say_beside(each.name, NOT_WHOLE, "reverse")
            return False
        try:
            self._say_beside(each.name, each.check(typed))
        except LogbookError as error:
            self._say_beside(each.name, str(error), "reverse")
            return False
        return True

    def _say_beside(self, name: str, words: str, style: str = "") -> None:
        if self._beside.get(name) != (words, style):
            self._beside[name] = (words, style)
            self.query_one(f"#said-{name}", Static).update(Text(words, style=style))

    def _say_all(self) -> list[Field]:
        """Show beside every field what is to be shown of it; those that must be mended first."""
        wrong = [each for each in self.fields if not self._say(each)]
        own_fault = {each.name for each in wrong}
        found = self.together(self.values())
        self._remarks = {name: found[name] for name in found if name not in own_fault}
        for name, remark in self._remarks.items():
            self._say_beside(name, remark.words, "bold" if remark.asks else "reverse")
        refused = {name for name, remark in self._remarks.items() if not remark.asks}
        return [each for each in self.fields if each.name in own_fault | refused]

    # --- what is half typed ---

    @property
    def draft_place(self) -> str:
        """Where its draft is, among those of all forms."""
        place = f"form:{type(self).__name__}:{self._draft_about}"
        if len(place) <= _LONGEST_PLACE:
            return place
        digest = sha256(self._draft_about.encode()).hexdigest()[:32]
        return f"form:{type(self).__name__}:{digest}"

    def find_draft(self) -> FormDraft | None:
        """Where what is typed stays until it is saved; None while there is no book."""
        return self.app.form_draft(self.draft_place) if isinstance(self.app, HoldsDrafts) else None

    def _restore(self) -> None:
        """Fill it with what was typed when the form was left."""
        left = read_draft(self._form_draft.left() if self._form_draft is not None else ())
        typed = {each.name: left.values.get(each.name, each.value) for each in self.fields}
        if typed == {each.name: each.value for each in self.fields}:
            return
        self._fill(typed)
        self._left_values = self._put_values = self.changed_values()
        when = self.app.when_words(left.left_utc) if isinstance(self.app, HoldsDrafts) else ""
        self._left_words = f"as you left it{when}"
        self._say_left(f"A{self._left_words[1:]}. ctrl+l empties it.")

    def _fill(self, values: Mapping[str, str]) -> None:
        with self.prevent(Input.Changed):
            for each in self.fields:
                self._input(each).value = values[each.name]

    def _say_left(self, words: str) -> None:
        left = self.query_one("#form-left", Static)
        left.update(Text(words))
        left.display = bool(words)

    def changed_values(self) -> dict[str, str]:
        """What was typed, as it was typed, in fields that are not as they were proposed."""
        typed = ((each.name, self._input(each).value, each.value) for each in self.fields)
        return {name: value for name, value, proposed in typed if value != proposed}

    def _put_draft(self) -> None:
        changed = self.changed_values()
        if self._form_draft is not None and changed != self._put_values:
            self._put_values = changed
            self._form_draft.put(draft_lines(changed, self._now()))

    def _now(self) -> datetime:
        return self.app.now() if isinstance(self.app, HoldsDrafts) else datetime.now(UTC)

    def action_empty(self) -> None:
        """The form as it is when nothing was typed yet."""
        self._fill({each.name: each.value for each in self.fields})
        self._say_left("")
        self._note_change()
        first = self._input(self._first_to_fill())
        self.screen.set_focus(first)
        first.select_all()

    def _note_change(self) -> None:
        self._put_draft()
        self._say_all()

    # --- typing ---

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self._note_change()

    def _field_of(self, line: Input) -> Field:
        return next(each for each in self.fields if f"field-{each.name}" == line.id)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        if self._field_of(event.input) is self.fields[-1]:
            self.action_keep()
        else:
            self.action_move(1)

    def take_pasted(self, line: Input, lines: Sequence[str]) -> None:
        """Put pasted lines in the fields from this one on; a pasted line end never saves."""
        line.replace(lines[0], *sorted(line.selection))
        first = self.fields.index(self._field_of(line)) + 1
        others = self.fields[first : first + len(lines) - 1]
        for each, text in zip(others, lines[1:], strict=False):
            self._input(each).value = text
        if others:
            self.screen.set_focus(self._input(others[-1]))
        left = len(lines) - 1 - len(others)
        if left:
            self.foot(f"{left} pasted {'line' if left == 1 else 'lines'} not taken: no field left")

    def action_move(self, step: int) -> None:
        focused = self.focused
        if isinstance(focused, Input):
            place = self.fields.index(self._field_of(focused)) + step
            if 0 <= place < len(self.fields):
                self._input(self.fields[place]).focus()

    def action_complete(self) -> None:
        """Put in the field what is proposed beside it, else go on."""
        focused = self.focused
        remark = None
        if isinstance(focused, Input):
            remark = self._remarks.get(self._field_of(focused).name)
        if isinstance(focused, Input) and remark is not None and remark.proposed:
            focused.value = remark.proposed
            focused.cursor_position = len(remark.proposed)
        else:
            self.focus_next()

    def action_leave(self) -> None:
        """Close; what was typed stays a draft."""
        if (
            self._form_draft is not None
            and self.changed_values()
            and isinstance(self.app, HoldsDrafts)
        ):
            self.app.say_left(
                f"Not saved: {self._heading}. What you typed is there when you open it again."
            )
        self.dismiss(None)

    def give_way(self) -> None:
        """Its draft is as it was when the form was opened."""
        self._fill(
            {each.name: self._left_values.get(each.name, each.value) for each in self.fields}
        )
        self._put_draft()
        super().give_way()

    def action_keep(self) -> None:
        """Save, or show everything that is wrong and go to the first of it."""
        if self.app.screen is not self:  # it asks already, or has closed
            return
        self._save_asked = True
        wrong = self._say_all()
        if wrong:
            self._input(wrong[0]).focus()
            self.foot(f"{len(wrong)} to mend first")
            return
        doubts = [*self._doubts()]
        if doubts:
            self.app.push_screen(
                Question("\n".join(doubts), "save it as typed", "y"), self._answered
            )
        else:
            self._answer()

    def _doubts(self) -> Iterator[str]:
        """What is asked about before it is saved; the first field that is doubted has the focus."""
        doubted = [each for each in self.fields if each.name in self._remarks]
        for each in doubted:
            remark = self._remarks[each.name]
            words = remark.words.removesuffix(f"Tab: {remark.proposed}").strip()
            yield f"{each.label} {self._input(each).value}: {words}"
        if doubted:
            self._input(doubted[0]).focus()
        yield from self._typed_over()
        typed = self.changed_values()
        as_left = [
            each.label
            for each in self.fields
            if each.name in self._left_values
            and typed.get(each.name) == self._left_values[each.name]
        ]
        if as_left:
            more = f" and {len(as_left) - _MOST_NAMED} more" if len(as_left) > _MOST_NAMED else ""
            yield f"{', '.join(as_left[:_MOST_NAMED])}{more}: {self._left_words}."

    def _typed_over(self) -> Iterator[str]:
        """Where the first Enter saves, a line may have been typed over the value by mistake."""
        if len(self.fields) > 1:
            return
        for new in self.changed_values().values():
            old = self.fields[0].value
            if old[:1].isalpha() and not new.casefold().startswith(
                old[:_SAME_BEGINNING].casefold()
            ):
                yield f"{self.fields[0].label}: {new}, instead of {old}."

    def _answered(self, yes: bool | None) -> None:
        if yes:
            self._answer()

    def _answer(self) -> None:
        try:
            self.finish(self.answer(self.values()))
        except WrongField as error:
            self._say_beside(error.field, str(error), "reverse")
            self.query_one(f"#field-{error.field}", Input).focus()
            self.foot("1 to mend first")
        except LogbookError as error:
            self.foot(str(error))

    def finish(self, result: T) -> None:
        """Close with the result; a form that has to write first does it here."""
        draft, self._form_draft = self._form_draft, None  # what comes late is no draft any more
        self.dismiss(result if draft is None else draft.cleared_with(result))

    def foot(self, words: str) -> None:
        """Say something at the foot of the form."""
        self.query_one("#form-foot", Static).update(Text(words, style="reverse"))
