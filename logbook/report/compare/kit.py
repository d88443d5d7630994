"""What was different in the kit of two nights: train, parts, and each value of a part."""

from dataclasses import dataclass

from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import Part, Placement, Train, Value
from logbook.records.entries import TrainRecord
from logbook.report.compare.difference import Difference

# How much of the width a change of kit may cost. Common practice, no source.
_OTHER_TRAIN, _OTHER_PART, _OTHER_VALUE, _ANEW = 0.3, 0.35, 0.25, 0.06
_CARRIED = 0.06
_ORDER = 0.2


@dataclass(frozen=True, slots=True)
class _Place:
    part: Part
    position: int
    carried: bool


def kit_differences(
    now: TrainRecord | None, then: TrainRecord | None, width_arcsec: float
) -> list[Difference]:
    """The train, then part by part, then value by value."""
    if now is None or then is None or now.revision_id == then.revision_id:
        return []
    found = []
    if now.id != then.id:
        found.append(
            Difference(
                "kit",
                "train",
                then.train.name,
                now.train.name,
                "another train: other optics, other scale, other weight",
                None,
                _OTHER_TRAIN * width_arcsec,
            )
        )
    before, after = _places(then), _places(now)
    found += _swapped(before, after, width_arcsec)
    for part_id in after:
        if part_id in before:
            found += _changed(before[part_id], after[part_id], width_arcsec)
    found += _settings(now.train, then.train, width_arcsec)
    return found + _order(before, after, width_arcsec)


def _places(record: TrainRecord) -> dict[int, _Place]:
    placed = {
        part_id: _Place(part, position, carried=False)
        for position, (part_id, part) in enumerate(
            zip(record.part_ids, record.train.parts, strict=False)
        )
    }
    for part_id, part in zip(record.carried_ids, record.train.carried, strict=False):
        placed[part_id] = _Place(part, 0, carried=True)
    return placed


def _swapped(before: dict[int, _Place], after: dict[int, _Place], width: float) -> list[Difference]:
    """Parts that came or went; one for another of its kind is one change."""
    gone = [each for part_id, each in before.items() if part_id not in after]
    come = [each for part_id, each in after.items() if part_id not in before]
    found = []
    for new in come:
        old = next((each for each in gone if each.part.kind == new.part.kind), None)
        if old is not None:
            gone.remove(old)
        found.append(_came(old, new, width))
    found += [_came(each, None, width) for each in gone]
    return found


def _came(old: _Place | None, new: _Place | None, width: float) -> Difference:
    place = new or old
    assert place is not None
    part = _CARRIED if place.carried else _OTHER_PART
    why = (
        "rides along and touches the light only by its weight"
        if place.carried
        else "a part in the light path changes spacing, tilt and focus"
    )
    return Difference(
        "kit",
        place.part.kind,
        old.part.name if old else "not in the train",
        new.part.name if new else "not in the train",
        why,
        None,
        part * width,
    )


def _changed(old: _Place, new: _Place, width: float) -> list[Difference]:
    """Values of one part that are not what they were."""
    found = []
    names = dict.fromkeys(
        (each.quantity, each.basis) for each in (*old.part.values, *new.part.values)
    )
    for quantity, basis in names:
        before, after = _value(old.part, quantity, basis), _value(new.part, quantity, basis)
        if _same(before, after):
            continue
        anew = before is None or after is None
        found.append(
            Difference(
                "kit",
                f"{new.part.name}: {_label(new.part, quantity)}, {basis}",
                _spelled(new.part, before),
                _spelled(new.part, after),
                "measured for the first time: the part may be as it was"
                if anew
                else "a value of a part in use is not what it was",
                None,
                (_ANEW if anew else _OTHER_VALUE)
                * width
                * (0.2 if new.carried or quantity == "mass_kg" else 1.0),
                evidence=tuple(each.how for each in (after,) if each is not None and each.how),
            )
        )
    return found


def _value(part: Part, quantity: str, basis: str) -> Value | None:
    return next(
        (each for each in part.values if (each.quantity, each.basis) == (quantity, basis)), None
    )


def _same(before: Value | None, after: Value | None) -> bool:
    if before is None or after is None:
        return before is after
    return (before.number, before.word) == (after.number, after.word)


def _label(part: Part, quantity: str) -> str:
    kind = KINDS.get(part.kind)
    known = kind.quantity(quantity) if kind else None
    return known.label if known else quantity.replace("_", " ")


def _spelled(part: Part, value: Value | None) -> str:
    if value is None:
        return "not given"
    if value.number is None:
        return value.word or ""
    kind = KINDS.get(part.kind)
    known = kind.quantity(value.quantity) if kind else None
    unit = known.unit if known else ""
    return f"{value.number:g} {unit}".strip()


_SETTINGS = (
    ("setting_mm", "drawn out", "another setting changes spacing and focus", 0.15),
    ("along_tube_mm", "place along the tube", "it changes the balance, not the light", 0.05),
)


def _settings(now: Train, then: Train, width: float) -> list[Difference]:
    """How far parts were drawn out, and where they sat along the tube."""
    found = []
    before, after = _placements(then), _placements(now)
    for name in (each for each in after if each in before):
        for attribute, label, why, part in _SETTINGS:
            old, new = getattr(before[name], attribute), getattr(after[name], attribute)
            if old != new:
                what, said = f"{name}: {label}", (_millimetres(old), _millimetres(new))
                found.append(Difference("kit", what, *said, why, None, part * width))
    return found


def _placements(train: Train) -> dict[str, Placement]:
    """Settings by the part's name."""
    return {each.part: each for each in train.placements}


def _millimetres(value: float | None) -> str:
    return "not given" if value is None else f"{value:g} mm"


def _order(before: dict[int, _Place], after: dict[int, _Place], width: float) -> list[Difference]:
    """The same parts in another order along the light."""
    both = [part_id for part_id in after if part_id in before]
    lit = [each for each in both if not after[each].carried and not before[each].carried]
    then = sorted(lit, key=lambda each: before[each].position)
    now = sorted(lit, key=lambda each: after[each].position)
    if then == now:
        return []
    return [
        Difference(
            "kit",
            "order of the parts",
            " – ".join(before[each].part.name for each in then),
            " – ".join(after[each].part.name for each in now),
            "the order of parts changes spacing and where the filter sits",
            None,
            _ORDER * width,
        )
    ]
