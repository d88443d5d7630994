"""A train while it is put together on the bench: parts in order, moved, carried, taken out."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from logbook.errors import BadInput
from logbook.kit.parts.part import MEASURED, STATED, Part, Placement, Train, Value
from logbook.kit.train.whatif import HOW, carrying, inserted, valued
from logbook.records.entries import PartRecord
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


def left_values(train: Train, records: Iterable[PartRecord]) -> dict[str, str]:
    """A draft of a train as values by name: which parts, where they are set, what is tried."""
    known = {each.part.name: each for each in records}
    values = {
        "parts": json.dumps([_part_key(part.name, known) for part in train.parts]),
        "carried": json.dumps([_part_key(part.name, known) for part in train.carried]),
    }
    for part in (*train.parts, *train.carried):
        key, where = _part_key(part.name, known), train.placement(part.name)
        values[f"set {key}"] = json.dumps([where.setting_mm, where.along_tube_mm])
        for value in part.values:
            if value.how == HOW and value.number is not None:
                values[f"try {value.quantity} {key}"] = repr(value.number)
    return values


def _part_key(name: str, known: Mapping[str, PartRecord]) -> str:
    """The id of a part, as its name may change; the name of one that the book does not list."""
    return str(known[name].id) if name in known else f"={name}"


def train_left(values: Mapping[str, str], base: Train, records: Iterable[PartRecord]) -> Train:
    """The draft that `left_values` made values of. Raises BadInput where it cannot be any more.

    base -- the train that it is a draft of.
    """
    parts = {f"={part.name}": part for part in (*base.parts, *base.carried)}
    parts |= {str(each.id): each.part for each in records}
    try:
        path, carried = (json.loads(values[each]) for each in ("parts", "carried"))
        keys = [*path, *carried]
        train = replace(
            base,
            parts=tuple(parts[key] for key in path),
            carried=tuple(parts[key] for key in carried),
            placements=tuple(_placement(parts[key].name, values[f"set {key}"]) for key in keys),
        )
        tries = (each.split(" ", 2) for each in values if each.startswith("try "))
        for _, quantity, key in tries:
            if key in keys:
                number = float(values[f"try {quantity} {key}"])
                train = valued(train, parts[key].name, quantity, number)
    except (KeyError, TypeError, ValueError) as error:
        raise BadInput("A part of the train that was put together here is gone.") from error
    return replace(train, placements=tuple(each for each in train.placements if _is_set(each)))


def _placement(name: str, typed: str) -> Placement:
    setting_mm, along_tube_mm = json.loads(typed)
    return Placement(name, setting_mm, along_tube_mm)


def _is_set(placement: Placement) -> bool:
    return placement != Placement(placement.part)


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
