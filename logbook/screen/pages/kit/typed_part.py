"""A whole part as it is typed into its form: the fields, and the part that they come to."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date
from functools import partial

from logbook.errors import BadInput
from logbook.kit.parts.check import STATES, Fault
from logbook.kit.parts.kinds import KINDS, Quantity
from logbook.kit.parts.part import MEASURED, STATED, Part, Value
from logbook.records.names import TakenNames
from logbook.screen.dialogs.field import Field
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

BASES = (STATED, MEASURED)
Typed = Mapping[str, str]


class TypedPart:
    """A part, and what is typed to change it; each value has a field `quantity-basis`.

    today -- the date to propose for what is measured; typed -- what stands in the fields now.
    """

    def __init__(self, part: Part, today: date, typed: Callable[[], Typed]) -> None:
        self.part, self._today, self._typed = part, today, typed
        self.quantities = {each.name: each for each in KINDS[part.kind].quantities}
        self._before = {
            f"{value.quantity}-{value.basis}": (value_typed(quantity, value), value)
            for value in part.values
            if (quantity := self.quantities.get(value.quantity)) is not None
        }

    def fields(self, taken: TakenNames, *, is_new: bool) -> Iterable[Field]:
        """Every field of the form. taken -- names of other parts."""
        yield Field(
            "name",
            "Name",
            self.part.name,
            check=taken.refuse,
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
            check=lambda typed: read_day(typed, self._today),
            help="The day they were measured on.",
            example="2026-03-14",
        )
        for quantity in self.quantities.values():
            for basis in BASES:
                yield self._value_field(quantity, basis)
        yield from _other_fields(self.part)
        if not is_new:
            yield Field(
                "why",
                "What changed",
                required=False,
                hint="shown in its history",
                help="Why the part is changed; it stands in its history.",
                example="measured again",
            )

    def _value_field(self, quantity: Quantity, basis: str) -> Field:
        name = f"{quantity.name}-{basis}"
        return Field(
            name,
            quantity.label,
            self._before[name][0] if name in self._before else "",
            required=False,
            check=partial(self._understood, quantity, basis),
            help=f"As {basis}. {quantity.means} {limits_words(quantity)}".strip(),
            example=quantity.example,
        )

    def _understood(self, quantity: Quantity, basis: str, typed: str) -> str:
        """What a field comes to, where that is more than was typed. Raises BadInput."""
        value = self._value(quantity, basis, typed)
        if value is None:
            return ""
        shown = amount_typed(quantity, value)
        words = "" if shown == typed.partition(";")[0].strip() else shown
        if basis == MEASURED:
            said = difference_said(self.part.kind, self._stated(quantity), value)
            words = f"{words} {said}"
        return words.strip()

    def _stated(self, quantity: Quantity) -> Value | None:
        try:
            return self._value(quantity, STATED, self._typed()[f"{quantity.name}-{STATED}"])
        except BadInput:
            return None

    def _value(self, quantity: Quantity, basis: str, typed: str) -> Value | None:
        """The value that was typed; one left as it was keeps its how and when. Raises BadInput."""
        if not typed:
            return None
        before, kept = self._before.get(f"{quantity.name}-{basis}", ("", None))
        if kept is not None and typed == before:
            return kept
        if basis == STATED:
            return read_stated(quantity, typed)
        values = self._typed()
        return read_measured(quantity, typed, values["how"], values["on"], self._today)

    def readable(self, values: Typed) -> Part:
        """The part as far as it can be read: its name and values."""
        found = []
        for quantity in self.quantities.values():
            for basis in BASES:
                try:
                    found.append(self._value(quantity, basis, values[f"{quantity.name}-{basis}"]))
                except BadInput:
                    continue
        kept = tuple(value for value in found if value is not None)
        return replace(self.part, name=values["name"], values=kept)

    def whole(self, values: Typed) -> Part:
        """The part as typed. Raises BadInput."""
        found = (
            self._value(quantity, basis, values[f"{quantity.name}-{basis}"])
            for quantity in self.quantities.values()
            for basis in BASES
        )
        return replace(
            self.part,
            name=values["name"],
            values=tuple(value for value in found if value is not None),
            state=_state(values["state"]),
            reason=values["reason"],
            price=read_price(values["price"]),
            note=values["note"],
            photo_path=values["photo_path"],
            link=values["link"],
        )


def field_at_fault(fault: Fault, typed: Typed) -> str:
    """The name of the field that a fault belongs to: of two columns the one that counts."""
    bases = (fault.basis,) if fault.basis else (MEASURED, STATED)
    columns = [name for basis in bases if (name := f"{fault.field}-{basis}") in typed]
    filled = [name for name in columns if typed[name]]
    if fault.field in typed:
        return fault.field
    return next(iter((*filled, *columns)), "")


def _other_fields(part: Part) -> tuple[Field, ...]:
    """What a part of any kind has besides its values."""
    return (
        Field(
            "state",
            "State",
            part.state,
            hint=", ".join(STATES),
            check=_state,
            help="Whether you have it: owned, lent, sold or wished for.",
            example="owned",
        ),
        Field(
            "reason",
            "Why so",
            part.reason,
            required=False,
            hint="why wished for, lent to",
            help="What it is wished for, or to whom it was lent.",
            example="the reducer wants 10 mm more",
        ),
        Field(
            "price",
            "Price",
            "" if part.price is None else f"{part.price:.10g}",
            required=False,
            hint="a number",
            check=_price_said,
            help="What it cost or would cost, a number without a currency.",
            example="39.90",
        ),
        Field(
            "note",
            "Note",
            part.note,
            required=False,
            help="Anything else to remember.",
            example="the set screw is short: do not force it",
        ),
        Field(
            "photo_path",
            "Photo",
            part.photo_path,
            required=False,
            hint="path of a file",
            help="The path of a picture, saved as text; the file stays where it is.",
            example="~/photos/ring.jpg",
        ),
        Field(
            "link",
            "Link",
            part.link,
            required=False,
            help="A page about it, saved as text and never opened.",
            example="https://example.org/rings",
        ),
    )


def limits_words(quantity: Quantity) -> str:
    """What is possible, or what words are known; "" where anything may be typed."""
    if quantity.choices:
        return f"Known: {', '.join(quantity.choices)}; other words are taken too."
    if quantity.is_text:
        return ""
    return f"From {quantity.low:g} to {quantity.high:g} {quantity.unit}".strip() + "."


def same_part(one: Part, other: Part) -> bool:
    """Whether two parts say the same, in whatever order their values stand."""
    plain = replace(one, values=()) == replace(other, values=())
    return plain and set(one.values) == set(other.values)


def _state(typed: str) -> str:
    return meant(typed, STATES, "one of")


def _price_said(typed: str) -> str:
    price = read_price(typed)
    return "" if price is None else f"{price:.10g}"
