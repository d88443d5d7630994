"""What became of a part or a train, revision by revision, newest first."""

from collections.abc import Sequence
from datetime import tzinfo

from rich.text import Text

from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import Part, Train, Value
from logbook.records.entries import PartRecord, TrainRecord
from logbook.screen.services.typed_values import number_typed


def part_history_lines(records: Sequence[PartRecord], zone: tzinfo) -> list[Text]:
    """records -- oldest first."""
    lines: list[Text] = []
    before: Part | None = None
    for record in records:
        day = f"{record.changed_utc.astimezone(zone):%Y-%m-%d}"
        entry = [_head(record.revision, day, record.why)]
        changes = ["written down"] if before is None else part_changes(before, record.part)
        entry += [Text(f"    {words}") for words in changes or ["nothing that is told here"]]
        lines[:0] = entry
        before = record.part
    return lines


def _head(revision: int, day: str, why: str) -> Text:
    return Text.assemble((f"{revision:>3}  {day}", "bold"), f"  {why}" if why else "")


def part_changes(before: Part, after: Part) -> list[str]:
    """What is different, in words."""
    changes = [
        f"{label}: {old or 'none'} → {new or 'none'}"
        for label, old, new in (
            ("name", before.name, after.name),
            ("state", before.state, after.state),
            ("why so", before.reason, after.reason),
            ("price", _price(before), _price(after)),
            ("note", before.note, after.note),
            ("photo", before.photo_path, after.photo_path),
            ("link", before.link, after.link),
        )
        if old != new
    ]
    old_values, new_values = _by_name(before), _by_name(after)
    for key in dict.fromkeys((*old_values, *new_values)):
        old_value, new_value = old_values.get(key), new_values.get(key)
        if old_value != new_value:
            changes.append(_value_change(after.kind, key, old_value, new_value))
    return changes


def _price(part: Part) -> str:
    return "" if part.price is None else f"{part.price:.2f}"


def _by_name(part: Part) -> dict[tuple[str, str], Value]:
    return {(each.quantity, each.basis): each for each in part.values}


def _value_change(kind: str, key: tuple[str, str], old: Value | None, new: Value | None) -> str:
    quantity = KINDS[kind].quantity(key[0]) if kind in KINDS else None
    label, unit = (quantity.label, quantity.unit) if quantity else (key[0], "")
    words = f"{label}, {key[1]}: {_shown(old, unit)} → {_shown(new, unit)}"
    return f"{words} ({new.how})" if new is not None and new.how else words


def _shown(value: Value | None, unit: str) -> str:
    if value is None:
        return "none"
    return value.word or number_typed(value.number or 0.0, unit)


def train_history_lines(records: Sequence[TrainRecord], zone: tzinfo) -> list[Text]:
    """records -- oldest first."""
    lines: list[Text] = []
    before: Train | None = None
    for record in records:
        day = f"{record.made_utc.astimezone(zone):%Y-%m-%d}"
        entry = [_head(record.revision, day, record.note)]
        changes = [_order(record.train)] if before is None else train_changes(before, record.train)
        entry += [Text(f"    {words}") for words in changes or ["nothing that is told here"]]
        lines[:0] = entry
        before = record.train
    return lines


def _order(train: Train) -> str:
    return " → ".join(part.name for part in train.parts)


def train_changes(before: Train, after: Train) -> list[str]:
    """Parts put in and taken out, changed, moved, set otherwise."""
    old = {part.name: part for part in (*before.parts, *before.carried)}
    new = {part.name: part for part in (*after.parts, *after.carried)}
    changes = [f"put in: {name}" for name in new if name not in old]
    changes += [f"taken out: {name}" for name in old if name not in new]
    for name in new:
        if name in old:
            changes += [f"{name}: {words}" for words in part_changes(old[name], new[name])]
    order = [part.name for part in after.parts if part.name in old]
    if order != [part.name for part in before.parts if part.name in new]:
        changes.append(f"order: {_order(after)}")
    was_set = {each.part: each for each in before.placements}
    for name in new:
        if before.placement(name) != after.placement(name) and (name in old or name in was_set):
            placement = after.placement(name)
            changes.append(
                f"{name}: drawn out {_length(placement.setting_mm)}, "
                f"along the tube {_length(placement.along_tube_mm)}"
            )
    return changes


def _length(length_mm: float | None) -> str:
    return "not said" if length_mm is None else number_typed(length_mm, "mm")
