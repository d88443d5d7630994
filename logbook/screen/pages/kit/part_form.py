"""The form of a whole part: every quantity of its kind as stated and as measured, and the rest."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import DescendantFocus
from textual.widgets import Input, Static

from logbook.errors import BadInput
from logbook.kit.parts.check import STATES, Fault, check_part
from logbook.kit.parts.kinds import KINDS, Quantity
from logbook.kit.parts.part import MEASURED, STATED, Part, Value
from logbook.records.entries import PartRecord
from logbook.records.names import ALL_FREE, TakenNames
from logbook.screen.dialogs.form import Field, Form, Remark, WrongField
from logbook.screen.services.run_job import Job
from logbook.screen.services.typed_values import (
    amount_typed,
    difference_said,
    meant,
    read_day,
    read_measured,
    read_price,
    read_stated,
    value_typed,
)
from logbook.screen.widgets.line_input import LineInput

if TYPE_CHECKING:
    from logbook.store.book import Book

_BASES = (STATED, MEASURED)
_PAGE = 8


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

    def __init__(
        self,
        part: Part,
        record: PartRecord | None,
        today: date,
        taken: TakenNames = ALL_FREE,
    ) -> None:
        """today -- the date to propose for what is measured; taken -- names of other parts."""
        self._part = part
        self._taken = taken
        self._foot_warns = False  # the foot says what must not be written over at once
        self._record = record
        self._quantities = {each.name: each for each in KINDS[part.kind].quantities}
        self._today = today
        self._typed_before = {
            f"{value.quantity}-{value.basis}": (value_typed(quantity, value), value)
            for value in part.values
            if (quantity := self._quantities.get(value.quantity)) is not None
        }
        super().__init__(
            self._heading_words(),
            [*self._fields()],
            _INTRO,
            about=f"{record.id}" if record else f"new {part.kind} {part.name}",
        )

    def _heading_words(self) -> str:
        if self._record is None:
            return f"New {self._part.kind}: {self._part.name}"
        return f"{self._part.kind} {self._part.name}, revision {self._record.revision}"

    def _fields(self) -> Iterable[Field]:
        part = self._part
        yield Field(
            "name",
            "Name",
            part.name,
            check=self._taken.refuse,
            help="Your name for the part; no other part may have it.",
            example="ring 25 A",
        )
        yield Field(
            "how",
            "Measured with",
            required=False,
            hint="callipers, scale; for new values",
            help="What the values typed now on the right were measured with.",
            example="callipers",
        )
        yield Field(
            "on",
            "Measured on",
            str(self._today),
            "2026-03-14",
            required=False,
            check=self._day,
            help="The day they were measured on.",
            example="2026-03-14",
        )
        for quantity in self._quantities.values():
            for basis in _BASES:
                name = f"{quantity.name}-{basis}"
                typed, _ = self._typed_before.get(name, ("", None))
                yield Field(
                    name,
                    quantity.label,
                    typed,
                    required=False,
                    help=f"As {basis}. {quantity.means} {limits_words(quantity)}".strip(),
                    example=quantity.example,
                )
        yield from self._other_fields()

    def _other_fields(self) -> Iterable[Field]:
        """What a part of any kind has besides its values."""
        part = self._part
        yield Field(
            "state",
            "State",
            part.state,
            hint=", ".join(STATES),
            check=_state,
            help="Whether you have it: owned, lent, sold or wished for.",
            example="owned",
        )
        yield Field(
            "reason",
            "Why so",
            part.reason,
            required=False,
            hint="why wished for, lent to",
            help="What it is wished for, or to whom it was lent.",
            example="the reducer wants 10 mm more",
        )
        price = "" if part.price is None else f"{part.price:.10g}"
        yield Field(
            "price",
            "Price",
            price,
            required=False,
            hint="a number",
            check=_price_said,
            help="What it cost or would cost, a number without a currency.",
            example="39.90",
        )
        yield Field(
            "note",
            "Note",
            part.note,
            required=False,
            help="Anything else to remember.",
            example="the set screw is short: do not force it",
        )
        yield Field(
            "photo_path",
            "Photo",
            part.photo_path,
            required=False,
            hint="path of a file",
            help="The path of a picture, saved as text; the file stays where it is.",
            example="~/photos/ring.jpg",
        )
        yield Field(
            "link",
            "Link",
            part.link,
            required=False,
            help="A page about it, saved as text and never opened.",
            example="https://example.org/rings",
        )
        if self._record is not None:
            yield Field(
                "why",
                "What changed",
                required=False,
                hint="shown in its history",
                help="Why the part is changed; it stands in its history.",
                example="measured again",
            )

    def _compose_field(self, each: Field) -> ComposeResult:
        quantity, _, basis = each.name.partition("-")
        if not basis:
            yield from super()._compose_field(each)
        elif basis == STATED:
            other = next(field for field in self.fields if field.name == f"{quantity}-{MEASURED}")
            with Horizontal(classes="field"):
                yield Static(Text(each.label), markup=False, classes="field-label")
                yield self._line(each, STATED)
                yield self._line(other, MEASURED)
                with Vertical(classes="field-words"):
                    for field in (each, other):
                        yield Static(id=f"said-{field.name}", markup=False)

    def _first_to_fill(self) -> Field:
        """A new part has its name already: its values come first."""
        return self.fields[3 if self._part.name else 0]

    def _line(self, each: Field, basis: str) -> Input:
        line = LineInput(each.value, id=f"field-{each.name}", select_on_focus=True, classes=basis)
        line.cursor_blink = False
        return line

    # --- what was understood ---

    def _say(self, each: Field) -> bool:
        quantity, _, basis = each.name.partition("-")
        if not basis:
            return super()._say(each)
        typed = self._input(each).value.strip()
        try:
            self._say_beside(each.name, self._understood(quantity, basis, typed))
        except BadInput as error:
            self._say_beside(each.name, str(error), "reverse")
            return False
        return True

    def _say_beside(self, name: str, words: str, style: str = "") -> None:
        super()._say_beside(name, words, style)
        if "-" in name:
            self.query_one(f"#said-{name}", Static).display = bool(words)

    def together(self, values: dict[str, str]) -> Mapping[str, Remark]:
        """What cannot be of all that can be read so far."""
        faults = check_part(self._part_of(values, only_readable=True))
        places = ((self._field_at_fault(fault), fault) for fault in faults)
        return {name: Remark(fault.words) for name, fault in places if name}

    def _field_at_fault(self, fault: Fault) -> str:
        """The name of the field that a fault belongs to: of two columns the one that counts."""
        typed = self.values()
        bases = (fault.basis,) if fault.basis else (MEASURED, STATED)
        columns = [name for basis in bases if (name := f"{fault.field}-{basis}") in typed]
        filled = [name for name in columns if typed[name]]
        if fault.field in typed:
            return fault.field
        return next(iter((*filled, *columns)), "")

    def _understood(self, name: str, basis: str, typed: str) -> str:
        """What a field comes to, where that is more than was typed. Raises BadInput."""
        if not typed:
            return ""
        value = self._value(name, basis, typed)
        if value is None:
            return ""
        shown = amount_typed(self._quantities[name], value)
        words = "" if shown == typed.partition(";")[0].strip() else shown
        if basis == MEASURED:
            words = " ".join((words, difference_said(self._part.kind, self._stated(name), value)))
        return words.strip()

    def _stated(self, name: str) -> Value | None:
        try:
            return self._value(name, STATED, self.values()[f"{name}-{STATED}"])
        except BadInput:
            return None

    def _day(self, typed: str) -> str:
        return read_day(typed, self._today)

    def _value(self, name: str, basis: str, typed: str) -> Value | None:
        """The value that was typed; one left as it was keeps its how and when. Raises BadInput."""
        if not typed:
            return None
        before, kept = self._typed_before.get(f"{name}-{basis}", ("", None))
        if kept is not None and typed == before:
            return kept
        if basis == STATED:
            return read_stated(self._quantities[name], typed)
        values = self.values()
        return read_measured(
            self._quantities[name], typed, values["how"], values["on"], self._today
        )

    @on(DescendantFocus)
    def _focused(self, event: DescendantFocus) -> None:
        """Say at the foot what the field wants."""
        warned, self._foot_warns = self._foot_warns, False
        if warned:
            return
        name = (event.widget.id or "").removeprefix("field-").partition("-")[0]
        quantity = self._quantities.get(name)
        foot = self.KEEP_WORDS if quantity is None else _wants(quantity)
        self.query_one("#form-foot", Static).update(Text(foot))

    def foot(self, words: str) -> None:
        self._foot_warns = True
        super().foot(words)

    # --- moving ---

    def action_move(self, step: int) -> None:
        """Up and down stay in their column; Enter goes through both."""
        name = self._name_in_focus()
        quantity, _, basis = name.partition("-")
        place = self._place(name) + step
        while basis and 0 <= place < len(self.fields):
            beside = self.fields[place].name.partition("-")
            if beside[0] != quantity and beside[2] in ("", basis):
                break
            place += step
        if 0 <= place < len(self.fields):
            self._input(self.fields[place]).focus()

    def action_leap(self, step: int) -> None:
        place = self._place(self._name_in_focus()) + step * 2 * _PAGE
        self._input(self.fields[min(len(self.fields) - 1, max(0, place))]).focus()

    def _name_in_focus(self) -> str:
        focused = self.focused
        return (focused.id or "").removeprefix("field-") if focused else self.fields[0].name

    def _place(self, name: str) -> int:
        return next((at for at, each in enumerate(self.fields) if each.name == name), 0)

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        """Enter goes through both columns, unlike in forms of one."""
        event.stop()
        event.prevent_default()
        place = self._place((event.input.id or "").removeprefix("field-"))
        if place + 1 == len(self.fields):
            self.action_keep()
        else:
            self._input(self.fields[place + 1]).focus()

    # --- keeping ---

    def answer(self, values: dict[str, str]) -> Job:
        part = self._part_of(values)
        for fault in check_part(part):  # of what has no field to be shown beside, if anything
            raise WrongField(self._field_at_fault(fault) or "name", fault.words)
        if self._record is None:
            return _add(part)
        if _same(part, self._part):
            raise BadInput("nothing was changed; Escape leaves")
        return _revise(self._record.id, part, values["why"])

    def _part_of(self, values: dict[str, str], *, only_readable: bool = False) -> Part:
        """The part as typed. Raises BadInput, unless what cannot be read is to be left out."""
        found = []
        for name in self._quantities:
            for basis in _BASES:
                try:
                    found.append(self._value(name, basis, values[f"{name}-{basis}"]))
                except BadInput:
                    if not only_readable:
                        raise
        part = replace(
            self._part,
            name=values["name"],
            values=tuple(value for value in found if value is not None),
        )
        if only_readable:
            return part
        return replace(
            part,
            state=_state(values["state"]),
            reason=values["reason"],
            price=read_price(values["price"]),
            note=values["note"],
            photo_path=values["photo_path"],
            link=values["link"],
        )


_INTRO = (
    "Left as stated, right as measured: the right one counts. 203, 8 in, 2 lb 5 oz are read. "
    "A tool and a day of its own: 49.6; callipers; 2026-03-14"
)


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


def limits_words(quantity: Quantity) -> str:
    """What is possible, or what words are known; "" where anything may be typed."""
    if quantity.choices:
        return f"Known: {', '.join(quantity.choices)}; other words are taken too."
    if quantity.is_text:
        return ""
    return f"From {quantity.low:g} to {quantity.high:g} {quantity.unit}".strip() + "."


def _same(one: Part, other: Part) -> bool:
    """Whether two parts say the same, in whatever order their values stand."""
    plain = replace(one, values=()) == replace(other, values=())
    return plain and set(one.values) == set(other.values)


def _state(typed: str) -> str:
    return meant(typed, STATES, "one of")


def _price_said(typed: str) -> str:
    price = read_price(typed)
    return "" if price is None else f"{price:.10g}"


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
