"""Small hardware with its sizes: what to order, as far as the values and notes of parts show it."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.kit.parts.kinds import HARDWARE_TYPES, KINDS
from logbook.kit.parts.part import Part
from logbook.text import fold

HARDWARE = "small hardware"
WISHED = "wished for"

# What must be known of each before it can be ordered. Common practice, no source.
_NEEDED: dict[str, tuple[str, ...]] = {
    "screw": ("thread", "shaft_length_mm"),
    "nut": ("thread",),
    "washer": ("inner_diameter_mm", "thickness_mm"),
    "O-ring": ("inner_diameter_mm", "thickness_mm"),
    "felt": ("overall_length_mm", "width_mm", "thickness_mm"),
    "belt": ("overall_length_mm", "width_mm"),
    "spring": ("inner_diameter_mm", "overall_length_mm"),
}
_NOT_SIZES = ("hardware_type", "goes_on", "stock_count", "mass_kg")
# Source: ISO 261, the coarse pitch of each thread size in mm.
_COARSE_MM = {2: 0.4, 2.5: 0.45, 3: 0.5, 4: 0.7, 5: 0.8, 6: 1.0, 8: 1.25, 10: 1.5}
_TOLD = re.compile(
    r"\b(?:screws?|nuts?|washers?|o-?rings?|belts?|springs?|batter(?:y|ies)|fuses?|desiccant"
    r"|felt (?:strips?|pads?|rings?|lining|seals?|washers?))\b"
)
_SIZE = re.compile(r"\bm[0-9]|[0-9]\s*(?:mm|x|×|v)\b|\b(?:a{2,3}|[cl]r[0-9]{2,4})\b")


@dataclass(frozen=True, slots=True)
class Spare:
    """Something small that may have to be ordered.

    part_name -- the part that it is, or that has it.
    sizes -- with their units, as known; not_known -- what must be measured first.
    stock -- how many lie ready; None where that was never stated.
    is_part -- it is a part of its own; else only another part's values or note mention it.
    """

    part_name: str
    what: str
    goes_on: str = ""
    sizes: tuple[str, ...] = ()
    not_known: tuple[str, ...] = ()
    stock: int | None = None
    note: str = ""
    is_part: bool = False


def spares(parts: Iterable[Part]) -> tuple[Spare, ...]:
    """All small hardware that the parts mention: parts of their own first, by name."""
    there = sorted((each for each in parts if each.state != "sold"), key=lambda p: fold(p.name))
    own = [spare_of(part) for part in there if part.kind == HARDWARE]
    told = [spare for part in there if part.kind != HARDWARE for spare in _told_by(part)]
    return (*own, *told)


def spare_of(part: Part) -> Spare:
    """A part of small hardware with its sizes."""
    what = part.word("hardware_type") or _type_in(part.name)
    stock = part.number("stock_count")
    known = KINDS[HARDWARE].quantities
    labels = {each.name: each.label for each in known}
    has = [each.name for each in known if part.value(each.name) is not None]
    needed = _NEEDED.get(_type_in(what), ())
    return Spare(
        part.name,
        what,
        part.word("goes_on") or "",
        sizes_of(part) or _in_note(part.note),
        tuple(labels[name] for name in needed if name not in has),
        None if stock is None else round(stock),
        part.note,
        is_part=True,
    )


def sizes_of(part: Part) -> tuple[str, ...]:
    """`thread M3x0.5`, `shaft length 6 mm`: the sizes of small hardware that count."""
    if part.kind != HARDWARE:
        return ()
    found = []
    for quantity in KINDS[HARDWARE].quantities:
        value = part.value(quantity.name)
        if value is None or quantity.name in _NOT_SIZES:
            continue
        shown = value.word or f"{value.number:.10g} {quantity.unit}".rstrip()
        found.append(f"{quantity.label} {shown}")
    return tuple(found)


def wishes(parts: Iterable[Part]) -> tuple[Part, ...]:
    """Parts that are wished for, by name."""
    found = (each for each in parts if each.state == WISHED)
    return tuple(sorted(found, key=lambda each: fold(each.name)))


def priced(parts: Sequence[Part]) -> tuple[float, int]:
    """What the priced ones cost in all, and how many have no price."""
    prices = [each.price for each in parts if each.price is not None]
    return sum(prices), len(parts) - len(prices)


def _type_in(words: str) -> str:
    """The first kind of hardware that words name; "" for none."""
    folded = fold(words)
    return next((each for each in HARDWARE_TYPES if fold(each) in folded), "")


def _told_by(part: Part) -> Iterable[Spare]:
    """What the values and the note of another part mention of small things on it."""
    pitch_mm = part.possible("screw_pitch_mm")
    if pitch_mm is not None:
        yield _outer_screws(part, pitch_mm)
    for sentence in re.split(r"(?<=[.;!?])\s+", part.note):
        told = _TOLD.search(fold(sentence))
        said = _in_note(sentence)
        if told is not None and said:
            yield Spare(part.name, told.group(), part.name, said, note=sentence.strip())


def _in_note(note: str) -> tuple[str, ...]:
    return ("as its note says",) if _SIZE.search(fold(note)) else ()


def _outer_screws(part: Part, pitch_mm: float) -> Spare:
    sizes = next((size for size, coarse in _COARSE_MM.items() if coarse == pitch_mm), None)
    note = "" if sizes is None else f"{pitch_mm:g} mm is the coarse pitch of M{sizes:g} (ISO 261)."
    missing = ("thread diameter", "length")
    what = "outer screws of the secondary"
    return Spare(part.name, what, part.name, (f"pitch {pitch_mm:g} mm",), missing, note=note)
