"""The form of a whole part: every quantity of its kind as stated and as measured, and the rest."""

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import DescendantFocus
from textual.widget import Widget
from textual.widgets import Static

from logbook.errors import BadInput
from logbook.kit.parts.check import check_part
from logbook.kit.parts.kinds import Quantity
from logbook.kit.parts.part import MEASURED, STATED, Part
from logbook.records.entries import PartRecord
from logbook.records.names import ALL_FREE, TakenNames
from logbook.screen.dialogs.field import Field, Remark, WrongField
from logbook.screen.dialogs.field_rows import FieldRows
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.kit.typed_part import TypedPart, field_at_fault, same_part
from logbook.screen.services.run_job import Job
from logbook.screen.widgets.line_input import LineInput

if TYPE_CHECKING:
    from logbook.store.book import Book

_PAGE = 8
_INTRO = (
    "Left as stated, right as measured: the right one counts. 203, 8 in, 2 lb 5 oz are read. "
    "A tool and a day of its own: 49.6; callipers; 2026-03-14"
)


class PartRows(FieldRows):
    """Two columns: as stated, and as measured. Up and down stay in their column."""

    def compose(self, each: Field) -> ComposeResult:
        quantity, _, basis = each.name.partition("-")
        if not basis:
            yield from super().compose(each)
        elif basis == STATED:
            other = next(field for field in self.fields if field.name == f"{quantity}-{MEASURED}")
            with Horizontal(classes="field"):
                yield Static(Text(each.label), markup=False, classes="field-label")
                yield self._column(each, STATED)
                yield self._column(other, MEASURED)
                with Vertical(classes="field-words"):
                    for field in (each, other):
                        yield Static(id=f"said-{field.name}", markup=False)

    def _column(self, each: Field, basis: str) -> LineInput:
        line = LineInput(each.value, id=f"field-{each.name}", select_on_focus=True, classes=basis)
        line.cursor_blink = False
        return line

    def say(self, name: str, words: str, style: str = "") -> None:
        super().say(name, words, style)
        if "-" in name:
            self._screen.query_one(f"#said-{name}", Static).display = bool(words)

    def moved(self, line: Widget | None, step: int) -> Field | None:
        at = self._place(line) if line is not None else 0
        quantity, _, basis = self.fields[at].name.partition("-")
        place = at + step
        while basis and 0 <= place < len(self.fields):
            beside = self.fields[place].name.partition("-")
            if beside[0] != quantity and beside[2] in ("", basis):
                break
            place += step
        return self.fields[place] if 0 <= place < len(self.fields) else None

    def leapt(self, line: Widget | None, step: int) -> Field:
        """The field a page of them on, or back."""
        at = self._place(line) if line is not None else 0
        return self.fields[min(len(self.fields) - 1, max(0, at + step * 2 * _PAGE))]


class PartForm(Form[Job]):
    """A part with all its values, two columns: as stated, and as measured, which counts.

    record -- the part to change; None for a new one, which `part` then begins.
    """

    DEFAULT_CSS = """
    PartForm VerticalScroll { height: 1fr; max-height: 100%; }
    PartForm .field-label { width: 23; }
    PartForm .field .stated { width: 15; margin: 0 1 0 0; }
    PartForm .field .measured { width: 17; }
    PartForm .field-words { width: 1fr; height: auto; padding: 0 0 0 1; }
    PartForm .field-words Static { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("pagedown", "leap(1)", "Further", tooltip="Some fields on", priority=True),
        Binding("pageup", "leap(-1)", "Back", tooltip="Some fields back", priority=True),
    ]
    KEEP_WORDS = "Enter next   ↑ ↓ PgUp PgDn   ctrl+o keep   Escape leave"
    ROWS = PartRows
    rows: PartRows

    def __init__(
        self,
        part: Part,
        record: PartRecord | None,
        today: date,
        taken: TakenNames = ALL_FREE,
    ) -> None:
        """today -- the date to propose for what is measured; taken -- names of other parts."""
        self._record = record
        self._foot_warns = False  # the foot says what must not be written over at once
        self._typed_part = TypedPart(part, today, self.values)
        fields = [*self._typed_part.fields(taken, is_new=record is None)]
        super().__init__(
            f"{part.kind} {part.name}, revision {record.revision}"
            if record
            else f"New {part.kind}: {part.name}",
            fields,
            _INTRO,
            about=f"{record.id}" if record else f"new {part.kind} {part.name}",
            begin_in=fields[3].name,  # a new part has its name already: its values come first
        )

    def together(self, values: dict[str, str]) -> Mapping[str, Remark]:
        """What cannot be of all that can be read so far."""
        faults = check_part(self._typed_part.readable(values))
        places = ((field_at_fault(fault, values), fault) for fault in faults)
        return {name: Remark(fault.words) for name, fault in places if name}

    def answer(self, values: dict[str, str]) -> Job:
        part = self._typed_part.whole(values)
        for fault in check_part(part):  # of what has no field to be shown beside, if anything
            raise WrongField(field_at_fault(fault, values) or "name", fault.words)
        if self._record is None:
            return _add(part)
        if same_part(part, self._typed_part.part):
            raise BadInput("nothing was changed; Escape leaves")
        return _revise(self._record.id, part, values["why"])

    def say(self, words: str) -> None:
        self._foot_warns = True
        super().say(words)

    @on(DescendantFocus)
    def _say_wanted(self, event: DescendantFocus) -> None:
        """Say at the foot what the field wants."""
        warned, self._foot_warns = self._foot_warns, False
        if warned:
            return
        name = (event.widget.id or "").removeprefix("field-").partition("-")[0]
        quantity = self._typed_part.quantities.get(name)
        foot = self.KEEP_WORDS if quantity is None else _wants(quantity)
        self.query_one("#form-foot", Static).update(Text(foot))

    def action_leap(self, step: int) -> None:
        self.rows.focus(self.rows.leapt(self.focused, step))


def _wants(quantity: Quantity) -> str:
    """What a field takes, for the foot."""
    if quantity.is_thread:
        return f'{quantity.label}: M48x0.75 male, 2"-24 tpi female, 31.75 mm, none'
    if quantity.choices:
        return f"{quantity.label}: {', '.join(quantity.choices)}"
    if quantity.is_text:
        return f"{quantity.label}: in words"
    limits = f"{quantity.low:g} to {quantity.high:g} {quantity.unit}".strip()
    return f"{quantity.label}: {limits}   F1 what it is   ctrl+o keep   Escape leave"


def _add(part: Part) -> Job:
    def job(book: "Book") -> str:
        book.kit.add_part(part)
        return f"Kept: {part.kind} {part.name}."

    return job


def _revise(part_id: int, part: Part, why: str) -> Job:
    def job(book: "Book") -> str:
        book.kit.revise_part(part_id, part, why)
        return f"Kept: {part.name}. Old nights keep what they had."

    return job
