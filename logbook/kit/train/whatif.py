"""What would change: a train with one thing different, and every number before and after.

Nothing here is saved; a changed train is a new value, and can be saved as a new train.
"""

from collections.abc import Sequence
from dataclasses import replace

from logbook.errors import BadInput
from logbook.kit.parts.kinds import KINDS
from logbook.kit.parts.part import MEASURED, Part, Placement, Train
from logbook.kit.train.rows import PairRow, side_by_side
from logbook.kit.train.sheet import Assumed, sheet

HOW = "tried out"  # written beside a value that nobody measured


def without(train: Train, part_name: str) -> Train:
    """The train with a part taken out. Raises BadInput if it is not in it."""
    _part(train, part_name)
    return replace(
        train,
        parts=tuple(each for each in train.parts if each.name != part_name),
        carried=tuple(each for each in train.carried if each.name != part_name),
        placements=tuple(each for each in train.placements if each.part != part_name),
    )


def inserted(train: Train, part: Part, after: str | None = None) -> Train:
    """The train with a part put into the light path behind another; None: before the camera or
    eyepiece at its end. Raises BadInput for a part that is in it already."""
    _refuse_twice(train, part)
    if after is None:
        ends = bool(train.parts) and train.parts[-1].kind in ("camera", "eyepiece")
        place = len(train.parts) - ends
    else:
        _part(train, after)
        names = [each.name for each in train.parts]
        if after not in names:
            raise BadInput(f"{after} rides along: name a part of the light path")
        place = names.index(after) + 1
    return replace(train, parts=(*train.parts[:place], part, *train.parts[place:]))


def carrying(train: Train, part: Part) -> Train:
    """The train with one more part riding along. Raises BadInput if it is in it already."""
    _refuse_twice(train, part)
    return replace(train, carried=(*train.carried, part))


def replaced(train: Train, part_name: str, part: Part) -> Train:
    """The train with another part at the place of one; it is not drawn out as the old one was."""
    _part(train, part_name)
    if part.name != part_name:
        _refuse_twice(train, part)
    placements = tuple(
        replace(each, part=part.name, setting_mm=None) if each.part == part_name else each
        for each in train.placements
    )
    return _swapped(replace(train, placements=placements), part_name, part)


def valued(train: Train, part_name: str, quantity: str, number: float) -> Train:
    """The train with one number of a part changed; it counts as a measured one would.

    Raises BadInput for a quantity that the part has not, and for a number that cannot be.
    """
    part = _part(train, part_name)
    kind = KINDS.get(part.kind)
    described = kind.quantity(quantity) if kind else None
    if described is None or described.is_text:
        raise BadInput(f"a {part.kind} has no number {quantity.replace('_', ' ')}")
    if not described.low <= number <= described.high:
        limits = f"{described.low:g} to {described.high:g} {described.unit}".strip()
        raise BadInput(f"{described.label} {number:g} is not possible: {limits}")
    return _swapped(train, part_name, part.with_number(quantity, number, basis=MEASURED, how=HOW))


def placed(train: Train, placement: Placement) -> Train:
    """The train with a part set elsewhere: drawn out, or moved along the tube."""
    _part(train, placement.part)
    kept = (each for each in train.placements if each.part != placement.part)
    return replace(train, placements=(*kept, placement))


def whatif(
    train: Train, changed: Train, assumed: Assumed | None = None, shelf: Sequence[Part] = ()
) -> tuple[PairRow, ...]:
    """Every number before and after."""
    return side_by_side(sheet(train, assumed, shelf), sheet(changed, assumed, shelf))


def _part(train: Train, part_name: str) -> Part:
    found = (each for each in (*train.parts, *train.carried) if each.name == part_name)
    part = next(found, None)
    if part is None:
        names = ", ".join(each.name for each in (*train.parts, *train.carried)) or "nothing"
        raise BadInput(f"{train.name} holds no {part_name}: it holds {names}")
    return part


def _refuse_twice(train: Train, part: Part) -> None:
    if any(each.name == part.name for each in (*train.parts, *train.carried)):
        raise BadInput(f"{part.name} is in {train.name} already")


def _swapped(train: Train, part_name: str, part: Part) -> Train:
    return replace(
        train,
        parts=tuple(part if each.name == part_name else each for each in train.parts),
        carried=tuple(part if each.name == part_name else each for each in train.carried),
    )
