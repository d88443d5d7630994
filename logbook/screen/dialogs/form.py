"""Forms as data: fields described once, drawn by one widget, checked all at once.

Enter goes on, and keeps from the last field; ctrl+o keeps from anywhere. Escape leaves: what was
typed stays a draft, there again when the form is next opened, also after a kill.
What was understood is shown beside each field while one types, and what the fields cannot be
together beside the field that it is about.
"""

from collections.abc import Iterator, Mapping, Sequence
from hashlib import sha256
from typing import ClassVar, Generic, TypeVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import Input, Static

from logbook.errors import LogbookError
from logbook.screen.dialogs.field import Field, Remark, WrongField
from logbook.screen.dialogs.field_rows import FieldRows
from logbook.screen.dialogs.typed_draft import HoldsDrafts, TypedDraft
from logbook.screen.services.form_draft import FormDraft
from logbook.screen.widgets.modal import Modal
from logbook.screen.widgets.question import Question

T = TypeVar("T")
_LONGEST_PLACE = 80  # characters
_SAME_BEGINNING = 2  # characters; a text that begins with the old one's was edited
_MOST_NAMED = 3  # fields, in a question


class Form(Modal[T | None], Generic[T]):
    """A form; `answer` makes its result of the typed values and may raise LogbookError.

    rows -- its fields as they stand on the screen; draft -- what is half typed in them.
    """

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
    ROWS: ClassVar[type[FieldRows]] = FieldRows

    def __init__(
        self,
        heading: str,
        fields: Sequence[Field],
        intro: str = "",
        *,
        about: str = "",
        begin_in: str = "",
        before_book: FormDraft | None = None,
    ) -> None:
        """about -- what parts its draft from others of its kind: ids, as names may change.

        begin_in -- the field that has the cursor first, unless one must be filled.
        before_book -- where its draft is while there is no book.
        """
        super().__init__()
        self.fields = tuple(fields)
        self.rows = self.ROWS(self, self.fields, begin_in, self.say)
        self.draft_place = _place(type(self).__name__, about)
        self._before_book = before_book
        self._heading, self._intro = heading, intro
        self._left: Mapping[str, str] = {}  # the values as they were left, if any were
        self._left_words = ""  # when that was

    # --- what subclasses say ---

    def answer(self, values: dict[str, str]) -> T:
        """What the form comes to. Raises LogbookError with words for its foot."""
        raise LogbookError("this form keeps nothing")

    def together(self, values: dict[str, str]) -> Mapping[str, Remark]:
        """What the fields say together that cannot be or is doubted, by field; raises nothing."""
        del values
        return {}

    def draw(self, values: dict[str, str]) -> None:
        """Show what else there is to see of what is typed."""

    # --- the form ---

    def compose(self) -> ComposeResult:
        with Vertical(classes="sheet"):
            yield Static(Text(self._heading, style="bold"), markup=False)
            if self._intro:
                yield Static(Text(self._intro), markup=False, classes="form-intro")
            yield Static(markup=False, classes="form-left", id="form-left")
            with VerticalScroll(can_focus=False):
                for each in self.fields:
                    yield from self.rows.compose(each)
            yield Static(Text(self.KEEP_WORDS), markup=False, classes="form-foot", id="form-foot")

    def on_mount(self) -> None:
        """Fill it with what was typed when the form was left."""
        proposed = self.rows.proposed
        self.draft = TypedDraft(self.app, self.draft_place, proposed, self._before_book)
        found, words = self.draft.left()
        left = {name: found.get(name, value) for name, value in proposed.items()}
        if left != proposed:
            self._left, self._left_words = left, words
            self.rows.fill(left)
            _say_left(self, f"{words} ctrl+l empties it.")
        self._say_all()
        self.rows.focus(self.rows.first_to_fill())

    def values(self) -> dict[str, str]:
        """What is typed, by field name."""
        return self.rows.values()

    def say(self, words: str) -> None:
        """Say something at the foot of the form."""
        self.query_one("#form-foot", Static).update(Text(words, style="reverse"))

    def _say_all(self) -> list[Field]:
        """Show beside every field what is to be shown of it; those that must be mended first."""
        wrong = self.rows.say_all(self.together)
        self.draw(self.values())
        return wrong

    def _note_change(self) -> None:
        self.draft.note(self.rows.texts())
        self._say_all()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        self._note_change()

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        following = self.rows.following(event.input)
        if following is None:
            self.action_keep()
        else:
            self.rows.focus(following)

    def action_move(self, step: int) -> None:
        place = self.rows.moved(self.focused, step)
        if place is not None:
            self.rows.focus(place)

    def action_complete(self) -> None:
        """Put in the field what is proposed beside it, else go on."""
        if not self.rows.take_proposed(self.focused):
            self.focus_next()

    def action_empty(self) -> None:
        """The form as it is when nothing was typed yet."""
        self.rows.fill(self.rows.proposed)
        _say_left(self, "")
        self._note_change()
        first = self.rows.line(self.rows.first_to_fill().name)
        self.screen.set_focus(first)
        first.select_all()

    def action_leave(self) -> None:
        """Close; what was typed stays a draft."""
        self.draft.note(self.rows.texts())
        if self.draft.holds and isinstance(self.app, HoldsDrafts):
            self.app.say_left(
                f"Not saved: {self._heading}. What you typed is there when you open it again."
            )
        self.dismiss(None)

    def give_way(self) -> None:
        """Its draft is as it was when the form was opened."""
        self.rows.fill(self._left or self.rows.proposed)
        self.draft.note(self.rows.texts())
        super().give_way()

    # --- saving it ---

    def action_keep(self) -> None:
        """Save, or show everything that is wrong and go to the first of it."""
        if self.app.screen is not self:  # it asks already, or has closed
            return
        self.rows.save_asked = True
        wrong = self._say_all()
        if wrong:
            self.rows.focus(wrong[0])
            self.say(f"{len(wrong)} to mend first")
            return
        if doubted := self.rows.doubted():
            self.rows.focus(doubted[0])
        doubts = [*_doubts(self.rows), *_typed_over(self.rows)]
        doubts += _as_left(self.rows, self._left, self._left_words)
        if doubts:
            question = Question("\n".join(doubts), "save it as typed", "y")
            self.app.push_screen(question, self._answer)
        else:
            self._answer(True)

    def _answer(self, yes: bool | None) -> None:
        if not yes:
            return
        try:
            self.finish(self.answer(self.values()))
        except WrongField as error:
            self.rows.say(error.field, str(error), "reverse")
            self.rows.line(error.field).focus()
            self.say("1 to mend first")
        except LogbookError as error:
            self.say(str(error))

    def finish(self, result: T) -> None:
        """Close with the result; a form that has to write first does it here."""
        self.dismiss(self.draft.cleared_with(result))


def _place(kind: str, about: str) -> str:
    """Where the draft of a form is, among those of all forms."""
    place = f"form:{kind}:{about}"
    if len(place) <= _LONGEST_PLACE:
        return place
    return f"form:{kind}:{sha256(about.encode()).hexdigest()[:32]}"


def _say_left(form: Form[T], words: str) -> None:
    left = form.query_one("#form-left", Static)
    left.update(Text(words))
    left.display = bool(words)


# --- what is asked about before a form is saved ---


def _doubts(rows: FieldRows) -> Iterator[str]:
    for each in rows.doubted():
        remark = rows.remarks[each.name]
        words = remark.words.removesuffix(f"Tab: {remark.proposed}").strip()
        yield f"{each.label} {rows.line(each.name).value}: {words}"


def _typed_over(rows: FieldRows) -> Iterator[str]:
    """Where the first Enter saves, a line may have been typed over the value by mistake."""
    if len(rows.fields) > 1:
        return
    only = rows.fields[0]
    new, old = rows.line(only.name).value, only.value
    begins_alike = new.casefold().startswith(old[:_SAME_BEGINNING].casefold())
    if new != old and old[:1].isalpha() and not begins_alike:
        yield f"{only.label}: {new}, instead of {old}."


def _as_left(rows: FieldRows, left: Mapping[str, str], words: str) -> Iterator[str]:
    """What was left half typed and is still as it was."""
    texts = rows.texts()
    still = [
        each.label
        for each in rows.fields
        if left.get(each.name, each.value) != each.value and texts[each.name] == left[each.name]
    ]
    if still:
        more = f" and {len(still) - _MOST_NAMED} more" if len(still) > _MOST_NAMED else ""
        yield f"{', '.join(still[:_MOST_NAMED])}{more}: a{words[1:]}"
