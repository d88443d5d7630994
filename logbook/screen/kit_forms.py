"""Short forms of the Kit page: a new part, one value of a part, a new train."""

from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.kit.check import check_part
from logbook.kit.entry import read_value
from logbook.kit.kinds import KINDS, Quantity
from logbook.kit.parts import MEASURED, STATED, Part, Train, Value
from logbook.screen.desk import Desk
from logbook.screen.form import Field, Form
from logbook.screen.night_flow import Done, Job
from logbook.screen.pages.kit_typed import meant
from logbook.screen.view import read_view
from logbook.store.records import TRAIN_KINDS, PartRecord

if TYPE_CHECKING:
    from logbook.store.book import Book

_BASES = (STATED, MEASURED)


def _refuse_faults(part: Part) -> None:
    faults = check_part(part)
    if faults:
        raise BadInput("; ".join(f"{fault.field}: {fault.words}" for fault in faults))


class NewPart(Form[Part]):
    """Kind and name of a part; the form of the whole part follows."""

    def __init__(self) -> None:
        kinds = tuple(KINDS)
        super().__init__(
            "A part you have or wish for",
            [
                Field(
                    "kind", "Kind", hint="its beginning", check=lambda t: meant(t, kinds, "one of")
                ),
                Field("name", "Name", hint="what you call it"),
            ],
            f"Kinds: {', '.join(kinds)}. All its values come next.",
        )

    def answer(self, values: dict[str, str]) -> Part:
        part = Part(values["name"], meant(values["kind"], tuple(KINDS), "one of"))
        _refuse_faults(part)
        return part


class SetValue(Form[Job]):
    """One value of a part, stated or measured; measured wins in every sum."""

    def __init__(self, record: PartRecord) -> None:
        self._record = record
        self._quantities = {each.label: each for each in KINDS[record.part.kind].quantities}
        labels = tuple(self._quantities)
        super().__init__(
            f"A value of {record.part.name}",
            [
                Field(
                    "what",
                    "What",
                    hint="its beginning",
                    check=lambda t: meant(t, labels, "one of"),
                ),
                Field("value", "Value", hint="203, 8 in, 2.5 lb", check=self._said),
                Field("basis", "Stated or measured", MEASURED, check=_basis),
                Field("how", "How", hint="callipers, scale", required=False),
                Field("on", "On", hint="2026-03-14", required=False),
            ],
            f"One of: {', '.join(labels)}",
        )

    def _quantity(self) -> Quantity:
        return self._quantities[meant(self.values()["what"], tuple(self._quantities), "one of")]

    def _said(self, typed: str) -> str:
        return read_value(self._quantity(), typed).shown

    def answer(self, values: dict[str, str]) -> Job:
        quantity, basis = self._quantity(), _basis(values["basis"])
        read = read_value(quantity, values["value"])
        value = Value(quantity.name, basis, read.number, read.word, values["how"], values["on"])
        old = self._record.part
        kept = (
            each for each in old.values if (each.quantity, each.basis) != (quantity.name, basis)
        )
        part = replace(old, values=(*kept, value))
        _refuse_faults(part)
        part_id, words = self._record.id, f"{quantity.label} {read.shown} {basis}"

        def job(book: "Book") -> Done:
            book.kit.revise_part(part_id, part, words)
            return Done(
                f"Kept: {part.name}, {words}. Old nights keep what they had.", read_view(book)
            )

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
                Field("name", "Name", hint="what you call it"),
                Field("kind", "Camera or visual", "camera", check=_train_kind),
                Field(
                    "parts",
                    "Parts, in order",
                    hint="empty: from the shelf",
                    required=False,
                    check=self._said,
                ),
                Field(
                    "carried",
                    "Carried along",
                    hint="may stay empty",
                    required=False,
                    check=self._said,
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
        name, kind = values["name"], _train_kind(values["kind"])
        ids, carried = self._ids(values["parts"]), self._ids(values["carried"])
        if not ids and not carried:
            return Train(name, kind)

        def job(book: "Book") -> Done:
            book.kit.add_train(name, kind, ids, carried)
            return Done(f"Kept: train {name}.", read_view(book))

        return job


def _train_kind(typed: str) -> str:
    return meant(typed, TRAIN_KINDS, "one of")
