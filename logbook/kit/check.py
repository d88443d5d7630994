"""What is wrong with a part, all of it at once, so that a form can say it beside each field."""

import math
import re
from dataclasses import dataclass
from datetime import date

from logbook.kit.parts import KINDS, MEASURED, STATED, Kind, Part, Value

STATES = ("owned", "lent", "sold", "wished for")
_LONGEST_WORD = 200

# Threads and barrels by standard sizes: metric with pitch, inch with turns an inch, plain barrels.
_THREAD = re.compile(
    r"(?:M[0-9]{1,3}(?:\.[0-9]+)?(?:\s*[x×]\s*[0-9](?:\.[0-9]+)?)?"
    r"|[0-9](?:\.[0-9]+)?\s*(?:\"|″|in)\s*[-–x×]\s*[0-9]{1,2}(?:\s*tpi)?"
    r"|(?:0\.965|1\.25|2|2\.7|3|4)\s*(?:\"|″|in)(?:\s*barrel)?"
    r"|(?:24\.5|31\.7|31\.75|50\.8)\s*mm(?:\s*barrel)?"
    r"|bayonet[\w .-]*|clamp[\w .-]*|none)"
    r"(?:[\s,]+(?:male|female|inside|outside))?",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong in one field: "name", "kind", or a quantity on one basis."""

    field: str
    words: str
    basis: str = ""


def check_part(part: Part) -> tuple[Fault, ...]:
    """Everything that is wrong with a part; nothing if it may be kept. Raises nothing."""
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
        faults.extend(fault(words) for words in _word_faults(quantity.name, value.word))
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


def _word_faults(name: str, word: str | None) -> list[str]:
    if word is None or not word.strip():
        return ["say it in words"]
    if len(word) > _LONGEST_WORD:
        return [f"{_LONGEST_WORD} characters at most"]
    if "thread" in name and not _THREAD.fullmatch(word.strip()):
        return [
            f'{word[:24]} is no thread known here: M48x0.75 male, 2"-24 tpi, 31.75 mm barrel, none'
        ]
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
)


def _together(part: Part) -> list[Fault]:
    """What each value alone may be and all together cannot."""
    faults = []
    for smaller, larger, words in _SMALLER:
        small, large = part.number(smaller), part.number(larger)
        if small is not None and large is not None and small >= large:
            faults.append(Fault(smaller, words))
    primary_mm, whole_mm = part.number("primary_focal_length_mm"), part.number("focal_length_mm")
    if primary_mm is not None and whole_mm is not None and primary_mm > whole_mm:
        words = "the primary alone is longer than the whole"
        faults.append(Fault("primary_focal_length_mm", words))
    aperture_mm, focal_length_mm = part.number("aperture_mm"), part.number("focal_length_mm")
    if aperture_mm and focal_length_mm and not 0.5 <= focal_length_mm / aperture_mm <= 100:
        ratio = focal_length_mm / aperture_mm
        faults.append(Fault("focal_length_mm", f"f/{ratio:.2g} is not possible; are both in mm?"))
    return faults
