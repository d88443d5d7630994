"""A train while it is put together on the bench: parts in order, moved, carried, taken out."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from logbook.kit.parts import MEASURED, STATED, Part, Placement, Train, Value
from logbook.kit.whatif import carrying, inserted
from logbook.store.records import PartRecord
from logbook.text import fold

# What rides along and has no light through it.
CARRIED_KINDS = frozenset(
    {
        "mount",
        "saddle",
        "dovetail",
        "guide telescope",
        "counterweight",
        "dew shield",
        "finder",
        "small hardware",
    }
)


def names(train: Train) -> list[str]:
    """The parts from sky to eye or sensor, then what rides along."""
    return [part.name for part in (*train.parts, *train.carried)]


def part_in(train: Train, name: str) -> Part | None:
    return next((part for part in (*train.parts, *train.carried) if part.name == name), None)


def is_carried(train: Train, name: str) -> bool:
    return any(part.name == name for part in train.carried)


def added(train: Train, part: Part, after: str | None) -> Train:
    """The train with one more part: in the light path behind `after`, or riding along."""
    if part.kind in CARRIED_KINDS:
        return carrying(train, part)
    behind = None if after is None or is_carried(train, after) else after
    if behind is None and train.parts:
        behind = train.parts[-1].name
    return inserted(train, part, behind)


def moved(train: Train, name: str, step: int) -> Train:
    """One place toward the sky (-1) or the eye (1), within the light path or what rides along."""
    return replace(
        train,
        parts=_moved(train.parts, name, step),
        carried=_moved(train.carried, name, step),
    )


def _moved(parts: tuple[Part, ...], name: str, step: int) -> tuple[Part, ...]:
    order = list(parts)
    for place, part in enumerate(parts):
        if part.name == name and 0 <= place + step < len(parts):
            order.insert(place + step, order.pop(place))
            break
    return tuple(order)


def toggled(train: Train, name: str) -> Train:
    """A part of the light path rides along, and the other way round."""
    part = part_in(train, name)
    if part is None:
        return train
    path = tuple(each for each in train.parts if each.name != name)
    carried = tuple(each for each in train.carried if each.name != name)
    if is_carried(train, name):
        return replace(train, parts=(*path, part), carried=carried)
    return replace(train, parts=path, carried=(*carried, part))


def shelf(train: Train, records: Iterable[PartRecord]) -> tuple[Part, ...]:
    """What could be put in: every part that is not in the train and was not sold."""
    inside = {fold(name) for name in names(train)}
    return tuple(
        each.part
        for each in records
        if each.part.state != "sold" and fold(each.part.name) not in inside
    )


def tried(train: Train, records: Iterable[PartRecord]) -> tuple[Part, ...]:
    """Parts of the train that are not as the book has them: values that were only tried."""
    known = {each.part.name: each.part for each in records}
    return tuple(part for part in (*train.parts, *train.carried) if known.get(part.name) != part)


def wishes(parts: Sequence[Part], train_name: str, taken: Iterable[str]) -> dict[str, Part]:
    """Parts with tried values as parts to wish for, by the names they were tried under."""
    used = {fold(name) for name in taken}
    found: dict[str, Part] = {}
    for part in parts:
        name = _free_name(f"{part.name} ({train_name})", used)
        used.add(fold(name))
        found[part.name] = replace(
            part,
            name=name,
            values=_as_stated(part.values),
            state="wished for",
            reason=f"tried out for {train_name}",
            price=None,
            photo_path="",
            link="",
        )
    return found


def _free_name(wanted: str, used: set[str]) -> str:
    name, number = wanted, 2
    while fold(name) in used:
        name, number = f"{wanted} {number}", number + 1
    return name


def _as_stated(values: Sequence[Value]) -> tuple[Value, ...]:
    """What counts of each quantity, as stated: nothing of a wished part was measured yet."""
    counting = {each.quantity: each for each in values if each.basis == STATED}
    counting |= {each.quantity: each for each in values if each.basis == MEASURED}
    return tuple(Value(each.quantity, STATED, each.number, each.word) for each in counting.values())


def renamed(train: Train, name: str, parts: dict[str, Part]) -> Train:
    """The train under another name, with some of its parts in place of others."""
    return Train(
        name,
        train.kind,
        tuple(parts.get(part.name, part) for part in train.parts),
        tuple(parts.get(part.name, part) for part in train.carried),
        tuple(_placed_as(each, parts) for each in train.placements),
    )


def _placed_as(placement: Placement, parts: dict[str, Part]) -> Placement:
    part = parts.get(placement.part)
    return placement if part is None else replace(placement, part=part.name)
