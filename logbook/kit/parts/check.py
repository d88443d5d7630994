"""What is wrong with a part, all of it at once, so that a form can show it beside each field."""

import math
from dataclasses import dataclass
from datetime import date

from logbook.errors import BadInput
from logbook.kit.parts.kinds import KINDS, Kind, Quantity
from logbook.kit.parts.part import MEASURED, STATED, Part, Train, Value
from logbook.kit.parts.threads import read_thread

STATES = ("owned", "lent", "sold", "wished for")
_LONGEST_WORD = 200


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in one field: "name", "kind", or a quantity on one basis."""

    field: str
    words: str
    basis: str = ""

    def label(self, kind: str) -> str:
        """What a form calls the field, for a part of this kind."""
        known = KINDS.get(kind)
        quantity = known.quantity(self.field) if known else None
        return quantity.label if quantity else self.field


def check_part(part: Part) -> tuple[Fault, ...]:
    """Everything that is wrong with a part; nothing if it may be saved. Raises nothing."""
    faults: list[Fault] = []
    if not part.name.strip():
        faults.append(Fault("name", "give the part a name"))
    elif len(part.name) > 120:
        faults.append(Fault("name", f"a name may be 120 characters long; this is {len(part.name)}"))
    if part.state not in STATES:
        faults.append(Fault("state", f"one of {', '.join(STATES)}"))
    if part.price is not None and not (math.isfinite(part.price) and part.price >= 0):
        faults.append(Fault("price", "a price is 0 or more"))
    kind = KINDS.get(part.kind)
    if kind is None:
        faults.append(Fault("kind", f"one of {', '.join(KINDS)}"))
        return tuple(faults)
    for value in part.values:
        faults.extend(_value_faults(kind, value))
    faults.extend(_given_twice(part))
    if not faults:
        faults.extend(_together(part))
    return tuple(faults)


def _value_faults(kind: Kind, value: Value) -> list[Fault]:
    def fault(words: str) -> Fault:
        return Fault(value.quantity, words, value.basis)

    quantity = kind.quantity(value.quantity)
    if quantity is None:
        return [fault(f"a {kind.name} has no {value.quantity.replace('_', ' ')}")]
    faults = []
    if value.basis not in (STATED, MEASURED):
        faults.append(fault("say whether it was stated or measured"))
    if value.measured_on and not _is_date(value.measured_on):
        faults.append(fault(f"{value.measured_on[:20]} is no date; write 2026-03-14"))
    if quantity.is_text:
        faults.extend(fault(words) for words in _word_faults(quantity, value.word))
        return faults
    number = value.number
    if number is None or not math.isfinite(number):
        faults.append(fault(f"{quantity.label} needs a number"))
    elif number < 0 <= quantity.low:
        faults.append(fault(f"{quantity.label} is never negative"))
    elif not quantity.low <= number <= quantity.high:
        limits = f"{quantity.low:g} to {quantity.high:g} {quantity.unit}".strip()
        faults.append(fault(f"{quantity.label} {number:g} is not possible: {limits}"))
    return faults


def _word_faults(quantity: Quantity, word: str | None) -> list[str]:
    if word is None or not word.strip():
        return ["say it in words"]
    if len(word) > _LONGEST_WORD:
        return [f"{_LONGEST_WORD} characters at most"]
    if quantity.is_thread:
        try:
            read_thread(word)
        except BadInput as error:
            return [str(error)]
    return []


def _is_date(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _given_twice(part: Part) -> list[Fault]:
    seen: set[tuple[str, str]] = set()
    faults = []
    for value in part.values:
        key = (value.quantity, value.basis)
        if key in seen:
            faults.append(Fault(value.quantity, f"{value.basis} twice", value.basis))
        seen.add(key)
    return faults


_SMALLER = (
    ("obstruction_mm", "aperture_mm", "the secondary's housing is as wide as the aperture"),
    ("aperture_mm", "tube_diameter_mm", "the aperture is as wide as the tube"),
    ("primary_focal_length_mm", "focal_length_mm", "the primary alone is longer than the whole"),
    (
        "mirror_spacing_mm",
        "primary_focal_length_mm",
        "the secondary sits past the primary's own focus",
    ),
)
_NOT_LARGER = (
    ("shaft_length_mm", "overall_length_mm", "the shaft is longer than the whole"),
    ("design_spacing_mm", "lens_focal_length_mm", "it is designed for a spacing past its focus"),
)


def _together(part: Part) -> list[Fault]:
    """What each value alone may be and all together cannot."""
    faults = []
    for smaller, larger, words in _SMALLER:
        small, large = part.number(smaller), part.number(larger)
        if small is not None and large is not None and small >= large:
            faults.append(Fault(smaller, words))
    faults.extend(_longer_than_the_whole(part))
    aperture_mm, focal_length_mm = part.number("aperture_mm"), part.number("focal_length_mm")
    if aperture_mm and focal_length_mm and not 0.5 <= focal_length_mm / aperture_mm <= 100:
        ratio = focal_length_mm / aperture_mm
        shown = f"{ratio:.0f}" if ratio >= 10 else f"{ratio:.2g}"
        faults.append(Fault("focal_length_mm", f"f/{shown} is not possible; are both in mm?"))
    return faults


def _longer_than_the_whole(part: Part) -> list[Fault]:
    """Within one basis: a measured length may well be under what was stated of another."""
    numbers = {(each.quantity, each.basis): each.number for each in part.values}
    faults = []
    for smaller, larger, words in _NOT_LARGER:
        for basis in (STATED, MEASURED):
            small, large = numbers.get((smaller, basis)), numbers.get((larger, basis))
            if small is not None and large is not None and small > large and part.kind != "barlow":
                faults.append(Fault(smaller, words, basis))
    return faults


_ENDS = {"camera": "camera", "visual": "eyepiece"}


def check_train(train: Train) -> tuple[str, ...]:
    """Words about an order that cannot be meant; nothing is refused."""
    kinds = [part.kind for part in train.parts]
    words = [
        f"{kinds.count(kind)} {kind}s in one light path: the first one counts"
        for kind in ("telescope", "camera", "eyepiece")
        if kinds.count(kind) > 1
    ]
    if "telescope" in kinds and kinds[0] != "telescope":
        words.append(f"{train.parts[0].name} stands before the telescope")
    end = _ENDS.get(train.kind)
    if end in kinds and kinds[-1] != end:
        words.append(f"{train.parts[-1].name} stands behind the {end}")
    not_there = (
        f"{part.name} is {part.state}"
        for part in (*train.parts, *train.carried)
        if part.state in ("sold", "wished for")
    )
    return (*words, *not_there)
