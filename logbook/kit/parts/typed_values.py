"""Lengths, masses and other values as people type them, metric or imperial, shown back in full."""

import math
import re
from dataclasses import dataclass

from logbook.errors import BadInput
from logbook.kit.parts.kinds import Quantity
from logbook.kit.parts.threads import MM_PER_INCH, read_thread
from logbook.text import clean, fold

KG_PER_POUND = 0.45359237  # exact, by definition

_IN_MM = {
    "mm": 1.0, "millimetre": 1.0, "millimeter": 1.0, "millimetres": 1.0, "millimeters": 1.0,
    "cm": 10.0, "m": 1000.0, "km": 1e6, "um": 0.001, "µm": 0.001, "μm": 0.001, "micron": 0.001,
    "microns": 0.001,
    "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, '"': MM_PER_INCH,
    "″": MM_PER_INCH, "”": MM_PER_INCH, "''": MM_PER_INCH,
    "ft": 12 * MM_PER_INCH, "foot": 12 * MM_PER_INCH, "feet": 12 * MM_PER_INCH,
    "'": 12 * MM_PER_INCH, "′": 12 * MM_PER_INCH, "thou": MM_PER_INCH / 1000,
}  # fmt: skip
_IN_KG = {
    "kg": 1.0, "kilo": 1.0, "kilos": 1.0, "kilogram": 1.0, "kilograms": 1.0,
    "g": 0.001, "gram": 0.001, "grams": 0.001,
    "lb": KG_PER_POUND, "lbs": KG_PER_POUND, "pound": KG_PER_POUND, "pounds": KG_PER_POUND,
    "oz": KG_PER_POUND / 16, "ounce": KG_PER_POUND / 16, "ounces": KG_PER_POUND / 16,
}  # fmt: skip
_IN_UM = {unit: 1000.0 * factor for unit, factor in _IN_MM.items()}
_OTHER = {
    "px": {"px": 1.0, "pixel": 1.0, "pixels": 1.0},
    "°": {"°": 1.0, "deg": 1.0, "degree": 1.0, "degrees": 1.0},
    "×": {"×": 1.0, "x": 1.0},
    "": {},
}
_UNITS: dict[str, dict[str, float]] = {"mm": _IN_MM, "kg": _IN_KG, "µm": _IN_UM, **_OTHER}

_SHORT_UNITS = ("mm", "cm", "m", "µm", "in", "ft", "kg", "g", "lb", "oz", "px", "°", "×")

_PIECE = re.compile(
    r"\s*(?:(?:(?P<whole>-?[0-9]+)(?:\s+|-))?(?P<above>[0-9]+)\s*/\s*(?P<below>[0-9]+)"
    r"|(?P<number>-?[0-9]+(?:[.,][0-9]+)?))"
    r"\s*(?P<unit>[^\W\d_]+|''|[\"'″′”°×])?\s*"
)
_VULGAR = str.maketrans(
    {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
)
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class Read:
    """A value as understood: a number in the quantity's unit or a word, and words to show back."""

    number: float | None
    word: str | None
    shown: str


def read_value(quantity: Quantity, typed: str) -> Read:
    """Understand what was typed for a quantity. Raises BadInput saying what would do."""
    text = clean(typed, longest=_LONGEST)
    if not text:
        raise BadInput(f"{quantity.label}: nothing was typed")
    if quantity.is_text:
        word = _word(quantity, text)
        return Read(None, word, word if fold(word) == fold(text) else f"{word} ({text})")
    number = read_number(text, quantity.unit, quantity.label)
    if not quantity.low <= number <= quantity.high:
        raise BadInput(
            f"{quantity.label} {_shown(number, quantity.unit)} is not possible: "
            f"{quantity.low:g} to {_shown(quantity.high, quantity.unit)}"
        )
    shown = _shown(number, quantity.unit)
    return Read(number, None, shown if _same(text, shown, number) else f"{shown} ({text})")


def _word(quantity: Quantity, text: str) -> str:
    """A thread in its usual spelling, one of the known words by its beginning, else as typed."""
    if quantity.is_thread:
        return read_thread(text).shown
    meant = [word for word in quantity.choices if word.startswith(fold(text))]
    exact = [word for word in meant if word == fold(text)]
    return (exact or meant)[0] if len(exact or meant) == 1 else text


def read_length_mm(typed: str, what: str = "the length") -> float:
    """`203`, `8 in`, `7 7/8"`, `1.62 m`, `5 ft 4 in`; a bare number is millimetres."""
    return read_number(clean(typed, longest=_LONGEST), "mm", what)


def read_number(text: str, unit: str, what: str) -> float:
    """A number in `unit` from text that may name another unit of the same sort.

    Raises BadInput for text that is no number, for a unit that does not fit, and for a comma that
    may part thousands or decimals.
    """
    plain = text.translate(_VULGAR).strip()
    if re.search(r"[0-9],[0-9]{3}(?![0-9])", plain):
        raise BadInput(f"{what}: {text} can be read two ways; write it without the comma")
    units = _UNITS[unit]
    below_zero = plain[:1] in ("-", "\N{MINUS SIGN}")  # of all pieces, as in -12 ft 6 in
    plain = plain[1:].lstrip() if below_zero else plain
    total, place, pieces = 0.0, 0, 0
    while place < len(plain):
        found = _PIECE.match(plain, place)
        if found is None:
            raise BadInput(f"{what}: {text} is no number{_example(unit)}")
        total += _amount(found, text, what) * _factor(found["unit"], units, what, pieces)
        place, pieces = found.end(), pieces + 1
    if not pieces or not math.isfinite(total):
        raise BadInput(f"{what}: {text} is no number{_example(unit)}")
    return round(-total if below_zero else total, 6)


def _amount(found: re.Match[str], text: str, what: str) -> float:
    if found["number"] is not None:
        return float(found["number"].replace(",", "."))
    whole, below = float(found["whole"] or "0"), int(found["below"])
    if below == 0:
        raise BadInput(f"{what}: {text} is no number")
    return whole + math.copysign(int(found["above"]) / below, whole)


def _factor(typed: str | None, units: dict[str, float], what: str, pieces: int) -> float:
    if typed is None:
        if pieces:  # as in `2 lb 5`: five of what?
            raise BadInput(f"{what}: say the unit of the last number too")
        return 1.0
    factor = units.get(typed) or units.get(typed.casefold())
    if factor is None:
        known = ", ".join(each for each in _SHORT_UNITS if each in units) or "no unit"
        raise BadInput(f"{what}: {typed} does not fit here ({known})")
    return factor


def _example(unit: str) -> str:
    examples = {"mm": ": 203, 8 in, 1.62 m", "kg": ": 2.5, 850 g, 2 lb 5 oz", "µm": ": 3.76"}
    return examples.get(unit, "")


def _shown(number: float, unit: str) -> str:
    shown = f"{round(number, 3):.10g}"
    return shown if not unit else f"{shown}{'' if unit in ('°', '×') else ' '}{unit}"


def _same(text: str, shown: str, number: float) -> bool:
    """What was typed holds no more than what is shown back."""
    bare = text.replace(" ", "").replace(",", ".").casefold()
    return bare in (shown.replace(" ", "").casefold(), f"{number:.10g}")
