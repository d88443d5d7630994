"""The limits typed as a line, which ranks anew at every key, and the sheet of the saved sets."""

from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.widgets import Input, Static

from logbook.errors import BadInput, NotFound
from logbook.records.choosing import LimitSetRecord
from logbook.records.names import TakenNames
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.dialogs.live_sheet import ListSheet, save
from logbook.screen.dialogs.typed_draft import TypedDraft
from logbook.screen.pages.choose import jobs
from logbook.screen.pages.choose.words import limit_words
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.widgets.line_input import LineInput
from logbook.sky.limits.limits import Limits
from logbook.sky.limits.limits_parser import LIMITS_HELP, limits_text, read_limits

_FOOT = "Enter: use   ctrl+o: keep as a set   Escape: as before"
_PLACE = "line:limits"


class LimitsInput(LineInput):
    """The typed limits; down and up move the list under it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "leave", "As before", show=False),
        Binding("ctrl+o", "save", "Keep as a set", show=False, priority=True),
        Binding("ctrl+l", "empty", "The limits in use", show=False),
        Binding("down", "move(1)", "Next object", show=False),
        Binding("up", "move(-1)", "Object before", show=False),
    ]

    def action_leave(self) -> None:
        self.post_message(LimitsLine.Left())

    def action_save(self) -> None:
        self.post_message(LimitsLine.SaveAsked())

    def action_empty(self) -> None:
        self.post_message(LimitsLine.EmptyAsked())

    def action_move(self, step: int) -> None:
        self.post_message(LimitsLine.Moved(step))


class LimitsLine(Vertical):
    """One line and what was understood of it. Hidden until it is wanted.

    What is typed is a draft until these limits are used; Escape leaves it to the next time.
    """

    class Typed(Message):
        """The limits changed while being typed."""

        def __init__(self, limits: Limits) -> None:
            super().__init__()
            self.limits = limits

    class Taken(Message):
        """Enter: these limits are to be used."""

        def __init__(self, limits: Limits) -> None:
            super().__init__()
            self.limits = limits

    class Left(Message):
        """Escape: the limits are to be as they were."""

    class EmptyAsked(Message):
        """The line is to be as it was before anything was typed."""

    class SaveAsked(Message):
        """The limits are to be saved as a set."""

    class Moved(Message):
        """The list under the line is to be moved in."""

        def __init__(self, step: int) -> None:
            super().__init__()
            self.step = step

    def __init__(self, *, id: str) -> None:  # noqa: A002
        super().__init__(id=id)
        self._draft: TypedDraft | None = None
        self._limits = Limits()  # in use when the line was opened
        self._left_words = ""  # that the line is as it was left
        self._opened_with = ""

    def compose(self) -> ComposeResult:
        with Horizontal(id="limits-row"):
            yield Static("Limits ", id="limits-mark", markup=False)
            line = LimitsInput(id="limits-input", max_length=300, select_on_focus=False)
            line.cursor_blink = False
            yield line
        yield Static(id="limits-said", markup=False)

    @property
    def line(self) -> LimitsInput:
        return self.query_one(LimitsInput)

    def open(self, limits: Limits) -> None:
        """Show the line with these limits in it, or with what was left half typed."""
        self._limits = limits
        self._draft = TypedDraft(self.app, _PLACE, {"limits": limits_text(limits)})
        left, self._left_words = self._draft.left()
        self.display = True
        self.line.focus()
        self._opened_with = left.get("limits", limits_text(limits))
        self._fill(self._opened_with)

    def forget_typed(self) -> None:
        """What was typed since the line was opened was meant for the entry line."""
        if self._draft is not None:
            self._draft.note({"limits": self._opened_with})

    def _fill(self, text: str) -> None:
        with self.prevent(Input.Changed):
            self.line.value = text
        self.line.cursor_position = len(text)
        self._typed()

    @on(EmptyAsked)
    def _empty(self, event: EmptyAsked) -> None:
        event.stop()
        self._left_words = ""
        self._fill(limits_text(self._limits))

    def saved_with(self, job: Job) -> Job:
        """The job that uses or saves what was typed; the draft ends with it."""
        return job if self._draft is None else self._draft.cleared_with(job)

    @property
    def limits(self) -> Limits:
        """The limits as typed. Raises BadInput."""
        return read_limits(self.line.value)

    def _say(self, limits: Limits) -> None:
        words = Text(limit_words(limits) if self.line.value.strip() else LIMITS_HELP)
        words.append(f"\n{_FOOT}", style="italic")
        if self._left_words:
            words.append(f"\n{self._left_words} ctrl+l: those in use", style="bold")
        self._show(words)

    def _show(self, words: Text) -> None:
        self.query_one("#limits-said", Static).update(words)

    @on(Input.Changed, "#limits-input")
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        self._typed()

    def _typed(self) -> None:
        if self._draft is not None:
            self._draft.note({"limits": self.line.value})
        try:
            limits = self.limits
        except BadInput as error:
            self._show(Text(str(error), style="reverse"))
            return
        self._say(limits)
        self.post_message(self.Typed(limits))

    @on(Input.Submitted, "#limits-input")
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        try:
            self.post_message(self.Taken(self.limits))
        except BadInput as error:
            self._show(Text(str(error), style="reverse"))


class SaveLimits(Form[Job]):
    """Limits saved under a name: a new set, or other limits for one there is."""

    def __init__(self, limits: Limits, name: str = "") -> None:
        self._limits = limits
        name_field = Field(
            "name",
            "Name of the set",
            name,
            hint="a name there is takes these limits",
            help="A name for these limits; a set of that name gets them instead of its own.",
            example="no Moon, high",
        )
        super().__init__("Keep these limits as a set", [name_field], limit_words(limits))

    def answer(self, values: dict[str, str]) -> Job:
        return jobs.keep_limit_set(values["name"], self._limits)


class RenameSet(Form[Job]):
    """Another name for a set of limits."""

    def __init__(self, record: LimitSetRecord, taken: TakenNames) -> None:
        """taken -- names of all sets; one may only change the case of its own."""
        self._set_name = name = record.name
        named = Field(
            "name",
            "New name",
            name,
            check=taken.besides_name(name).refuse,
            help="Another name for the set; no other set may have it.",
            example="no Moon, high",
        )
        super().__init__(f"Rename {name}", [named], about=f"{record.id or name}")

    def answer(self, values: dict[str, str]) -> Job:
        return jobs.rename_limit_set(self._set_name, values["name"])


class EditSet(Form[Job]):
    """The limits of one set, as a line."""

    def __init__(self, record: LimitSetRecord) -> None:
        self._set_name = record.name
        text = limits_text(record.limits) if record.limits else ""
        limits = Field(
            "limits",
            "Limits",
            text,
            required=False,
            check=_said_limits,
            help=f"Any of these, with commas or points between: {LIMITS_HELP}",
            example="galaxies, above 35, moon 40",
        )
        about = f"{record.id or record.name}"
        super().__init__(f"Limits of {record.name}", [limits], LIMITS_HELP, about=about)

    def answer(self, values: dict[str, str]) -> Job:
        return jobs.keep_limit_set(self._set_name, read_limits(values["limits"]))


def _said_limits(typed: str) -> str:
    return limit_words(read_limits(typed))


class LimitSets(ListSheet[tuple[LimitSetRecord, ...]]):
    """The sets of limits; the first nine have a key on the page."""

    KEY_WORDS = "Enter use   e edit   r rename   n keep those in use   x take out   Escape"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("e", "edit", "Edit", tooltip="Change the limits of the chosen set"),
        Binding("r", "rename", "Rename", tooltip="Give the chosen set another name"),
        Binding("n", "save", "Keep", tooltip="Keep the limits in use as a set"),
        Binding("x", "retire", "Take out", tooltip="Take the chosen set out of the list"),
    ]

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk, "Sets of limits; the keys 1 to 9 use one")

    def work_out(self) -> tuple[LimitSetRecord, ...]:
        if self.desk.book is None:
            raise NotFound("The book is not open yet.")
        return self.desk.book.limit_sets.all()

    def rows(self, found: tuple[LimitSetRecord, ...]) -> list[Text]:
        rows = []
        for place, each in enumerate(found, start=1):
            row = Text(f"{place if place < 10 else ' '} {each.name:24} ", style="bold")
            said = "of a newer program" if each.limits is None else limits_text(each.limits)
            row.append(said or "the usual limits", style="not bold")
            rows.append(row)
        return rows

    def about_words(self, found: tuple[LimitSetRecord, ...], place: int) -> Text:
        limits = found[place].limits
        return Text("" if limits is None else limit_words(limits))

    def _chosen(self) -> LimitSetRecord | None:
        if self.found is None or self.listed.place is None:
            return None
        return self.found[self.listed.place]

    def taken(self, found: tuple[LimitSetRecord, ...], place: int) -> None:
        limits = found[place].limits
        if limits is not None:
            self.desk.own_limits = limits
            save(self, jobs.use_limits(limits, found[place].name))
            self.dismiss(None)

    def action_edit(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.app.push_screen(EditSet(chosen), partial(save, self))

    def action_rename(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            form = RenameSet(chosen, self.desk.taken_names("set"))
            self.app.push_screen(form, partial(save, self))

    def action_save(self) -> None:
        self.app.push_screen(SaveLimits(self.desk.limits), partial(save, self))

    def question_before(self, key: str) -> str:
        chosen = self._chosen()
        return f"take the set {chosen.name} out of the list" if key == "x" and chosen else ""

    def action_retire(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            save(self, jobs.retire_limit_set(chosen.name))
