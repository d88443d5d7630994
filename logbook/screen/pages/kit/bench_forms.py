"""The forms of the bench: a value to try, where a part is set, keeping what was made."""

from dataclasses import replace
from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.kit.parts.kinds import KINDS, Quantity
from logbook.kit.parts.part import Part, Placement, Train
from logbook.kit.parts.typed_values import read_length_mm, read_value
from logbook.records.entries import TrainRecord
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.kit import draft as kit_draft
from logbook.screen.pages.kit.fields import train_fields, train_kind, value_fields
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.typed_values import meant, number_typed

if TYPE_CHECKING:
    from logbook.store.book import Book


class TryValue(Form[tuple[str, float]]):
    """Another value of a part, to reckon with; nothing of it is saved."""

    def __init__(self, part: Part) -> None:
        self._numbers = {
            each.label: each for each in KINDS[part.kind].quantities if not each.is_text
        }
        labels = tuple(self._numbers)
        super().__init__(
            f"What if {part.name} had another value?",
            value_fields(
                labels,
                self._known,
                self._said,
                "The value to calculate with for now; the part keeps its own.",
            ),
            ", ".join(
                f"{each.label} {_now(part, each)}".strip() for each in self._numbers.values()
            ),
            about=part.name,
        )
        self._part = part

    def _quantity(self, typed: str) -> Quantity:
        return self._numbers[meant(typed, tuple(self._numbers), "one of")]

    def _known(self, typed: str) -> str:
        quantity = self._quantity(typed)
        return f"{quantity.label} {_now(self._part, quantity)}".strip()

    def _said(self, typed: str) -> str:
        return read_value(self._quantity(self.values()["what"]), typed).shown

    def answer(self, values: dict[str, str]) -> tuple[str, float]:
        quantity = self._quantity(values["what"])
        number = read_value(quantity, values["value"]).number
        if number is None:
            raise BadInput("a number is wanted")
        return quantity.name, number


def _now(part: Part, quantity: Quantity) -> str:
    number = part.number(quantity.name)
    return "" if number is None else f"({number_typed(number, quantity.unit)})"


class PlacePart(Form[Placement]):
    """Where a part is set in the train."""

    def __init__(self, part: Part, now: Placement) -> None:
        self._part = part
        super().__init__(
            f"Where {part.name} is set",
            [
                Field(
                    "out",
                    "Drawn out",
                    _typed(now.setting_mm),
                    "mm, of a focuser",
                    False,
                    _said,
                    help="How far a focuser is drawn out from all the way in.",
                    example="12.5",
                ),
                Field(
                    "along",
                    "Along the tube",
                    _typed(now.along_tube_mm),
                    "mm",
                    False,
                    _said,
                    help=(
                        "Where its centre of mass is, from the tube's back plate toward the sky; "
                        "behind the plate it is negative."
                    ),
                    example="310, or -40",
                ),
            ],
            "Along the tube: where its centre of mass is, from the tube's back plate toward the "
            "sky; behind the plate it is negative. Of a saddle or dovetail, its middle.",
            about=part.name,
        )

    def answer(self, values: dict[str, str]) -> Placement:
        return Placement(self._part.name, _length(values["out"]), _length(values["along"]))


def _typed(length_mm: float | None) -> str:
    return "" if length_mm is None else number_typed(length_mm, "mm")


def _length(typed: str) -> float | None:
    return read_length_mm(typed) if typed else None


def _said(typed: str) -> str:
    return f"{read_length_mm(typed):g} mm"


class KeepChange(Form[Job]):
    """Keep the draft as the train from now on, with why."""

    def __init__(self, desk: Desk, record: TrainRecord, draft: Train) -> None:
        self._desk, self._record, self._draft = desk, record, draft
        super().__init__(
            f"Keep the change of {draft.name}",
            [
                Field(
                    "why",
                    "Why",
                    hint="may stay empty",
                    required=False,
                    help="Why the train is changed; it stands in its history.",
                    example="the reducer wants 5 mm more",
                )
            ],
            f"Revision {record.revision + 1}. Nights before keep the train as it was.",
            about=f"{record.id}",
        )

    def answer(self, values: dict[str, str]) -> Job:
        ids = {each.part.name: each.id for each in self._desk.view.parts}
        draft, train_id, why = self._draft, self._record.id, values["why"]
        path = tuple(ids[part.name] for part in draft.parts)
        carried = tuple(ids[part.name] for part in draft.carried)
        placements = tuple(draft.placement(name) for name in kit_draft.names(draft))

        def job(book: "Book") -> str:
            today = {name: book.kit.part(ids[name]).part.name for name in kit_draft.names(draft)}
            placed = [replace(each, part=today[each.part]) for each in placements]
            kept = book.kit.revise_train(train_id, path, carried, why, placed)
            return f"Kept: {draft.name}, revision {kept.revision}."

        return job


class KeepAsNew(Form[Job]):
    """Keep the draft as a train of its own; parts with tried values go on the wish list."""

    def __init__(self, desk: Desk, draft: Train, proposed: str) -> None:
        self._desk, self._draft = desk, draft
        self._tried = kit_draft.tried(draft, desk.view.parts)
        names = ", ".join(part.name for part in self._tried)
        super().__init__(
            "Keep as a new train",
            train_fields(desk, proposed, _kind(draft)),
            f"Goes on the wish list, with the values tried: {names}" if names else "",
            about=draft.name,
        )

    def answer(self, values: dict[str, str]) -> Job:
        name, kind = values["name"], train_kind(values["kind"])
        records = self._desk.view.parts
        ids = {each.part.name: each.id for each in records}
        wished = kit_draft.wishes(self._tried, name, ids)
        train = kit_draft.renamed(self._draft, name, wished)
        train = Train(name, kind, train.parts, train.carried, train.placements)
        more = f" On the wish list: {', '.join(p.name for p in wished.values())}." if wished else ""

        def job(book: "Book") -> str:
            book.kit.add_train_with_wishes(train, ids, tuple(wished.values()))
            return f"Kept: train {name}.{more}"

        return job


def _kind(draft: Train) -> str:
    kinds = {part.kind for part in draft.parts}
    if "camera" in kinds:
        return "camera"
    return "visual" if "eyepiece" in kinds else draft.kind
