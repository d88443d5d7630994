"""Short forms of the Kit page: a new part, one value of a part, a new train."""

from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.kit.parts.check import check_part
from logbook.kit.parts.kinds import KINDS, Quantity
from logbook.kit.parts.part import MEASURED, STATED, Part, Train, Value
from logbook.kit.parts.typed_values import read_value
from logbook.records.entries import PartRecord
from logbook.records.names import ALL_FREE, TakenNames
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.kit.fields import train_fields, train_kind, value_fields
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.typed_values import meant, read_day

if TYPE_CHECKING:
    from logbook.store.book import Book

_BASES = (STATED, MEASURED)


def _refuse_faults(part: Part) -> None:
    faults = check_part(part)
    if faults:
        said = (f"{fault.label(part.kind)}: {fault.words}" for fault in faults)
        raise BadInput("; ".join(said))


class NewPart(Form[Part]):
    """Kind and name of a part; the form of the whole part follows."""

    def __init__(self, taken: TakenNames = ALL_FREE) -> None:
        kinds = tuple(KINDS)
        super().__init__(
            "A part you have or wish for",
            [
                Field(
                    "kind",
                    "Kind",
                    hint="its beginning",
                    check=lambda t: meant(t, kinds, "one of"),
                    help=f"What sort of part it is, or how the word begins: {', '.join(kinds)}.",
                    example="extension ring",
                ),
                Field(
                    "name",
                    "Name",
                    hint="what you call it",
                    check=taken.refuse,
                    help="Your name for the part; no other part may have it.",
                    example="ring 25 A",
                ),
            ],
            f"Kinds: {', '.join(kinds)}. All its values come next.",
        )

    def answer(self, values: dict[str, str]) -> Part:
        part = Part(values["name"], meant(values["kind"], tuple(KINDS), "one of"))
        _refuse_faults(part)
        return part


class SetValue(Form[Job]):
    """One value of a part, stated or measured; measured wins in every sum."""

    def __init__(self, record: PartRecord, today: date) -> None:
        self._record, self._today = record, today
        self._quantities = {each.label: each for each in KINDS[record.part.kind].quantities}
        labels = tuple(self._quantities)
        super().__init__(
            f"A value of {record.part.name}",
            [
                *value_fields(
                    labels,
                    lambda typed: meant(typed, labels, "one of"),
                    self._said,
                    "The value; a bare number is in the unit that is shown beside it.",
                ),
                Field(
                    "basis",
                    "Stated or measured",
                    MEASURED,
                    check=_basis,
                    help="Whether the maker states it or you measured it; what is measured counts.",
                    example=MEASURED,
                ),
                Field(
                    "how",
                    "How",
                    hint="callipers, scale",
                    required=False,
                    help="What it was measured with.",
                    example="callipers",
                ),
                Field(
                    "on",
                    "On",
                    hint="2026-03-14, yesterday",
                    required=False,
                    check=self._day,
                    help="The day it was measured on.",
                    example="2026-03-14",
                ),
            ],
            f"One of: {', '.join(labels)}",
            about=f"{record.id}",
        )

    def _quantity(self) -> Quantity:
        return self._quantities[meant(self.values()["what"], tuple(self._quantities), "one of")]

    def _said(self, typed: str) -> str:
        return read_value(self._quantity(), typed).shown

    def _day(self, typed: str) -> str:
        return read_day(typed, self._today)

    def answer(self, values: dict[str, str]) -> Job:
        quantity, basis = self._quantity(), _basis(values["basis"])
        read = read_value(quantity, values["value"])
        value = Value(
            quantity.name, basis, read.number, read.word, values["how"], self._day(values["on"])
        )
        old = self._record.part
        kept = (
            each for each in old.values if (each.quantity, each.basis) != (quantity.name, basis)
        )
        part = replace(old, values=(*kept, value))
        _refuse_faults(part)
        part_id, words = self._record.id, f"{quantity.label} {read.shown} {basis}"

        def job(book: "Book") -> str:
            book.kit.revise_part(part_id, part, words)
            return f"Kept: {part.name}, {words}. Old nights keep what they had."

        return job


def _basis(typed: str) -> str:
    return meant(typed, _BASES, "one of")


class NewTrain(Form[Job | Train]):
    """A train: its parts from sky to eye or sensor, by the beginnings of their names.

    Without any parts it answers an empty train, to be put together on the bench.
    """

    DEFAULT_CSS = """
    NewTrain .field Input { width: 1fr; }
    NewTrain .field-said { width: 24; }
    """

    def __init__(self, desk: Desk) -> None:
        self._names = {each.part.name: each.id for each in desk.view.parts}
        super().__init__(
            "A train",
            [
                *train_fields(desk, "", "camera"),
                Field(
                    "parts",
                    "Parts, in order",
                    hint="empty: from the shelf",
                    required=False,
                    check=self._said,
                    help=(
                        "The parts the light goes through, from the sky on, by the beginnings of "
                        "their names, with commas. Empty: put together on the bench."
                    ),
                    example="long tube, focuser, ring 25, camera",
                ),
                Field(
                    "carried",
                    "Carried along",
                    hint="may stay empty",
                    required=False,
                    check=self._said,
                    help="What rides along without light through it, in the same way.",
                    example="mount, dovetail, counterweight",
                ),
            ],
            f"From sky to eye or sensor, with commas: {', '.join(self._names) or 'no parts yet'}",
        )

    def _ids(self, typed: str) -> tuple[int, ...]:
        names = tuple(self._names)
        pieces = (piece.strip() for piece in typed.split(","))
        return tuple(self._names[meant(piece, names, "parts")] for piece in pieces if piece)

    def _said(self, typed: str) -> str:
        return f"{len(self._ids(typed))} parts"

    def answer(self, values: dict[str, str]) -> Job | Train:
        name, kind = values["name"], train_kind(values["kind"])
        ids, carried = self._ids(values["parts"]), self._ids(values["carried"])
        if not ids and not carried:
            return Train(name, kind)

        def job(book: "Book") -> str:
            book.kit.add_train(name, kind, ids, carried)
            return f"Kept: train {name}."

        return job
