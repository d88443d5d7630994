"""What is set other than a screw of the secondary: `tilt plate 4 o'clock tighten 1/8`.

The plate's, the primary's and the focuser's screws have no names in the book: a clock position, a
corner or a letter, as typed. `camera turned 90 deg` begins a new orientation of the pictures.
"""

import re
from dataclasses import dataclass, replace

from logbook.entryline.context import Line, NotThis, Parsed, Unclear
from logbook.entryline.fractions import take_fraction, take_in_words, take_number
from logbook.entryline.readings import measures
from logbook.entryline.tokens import NUMBER, Scan, number, refuse_two_ways
from logbook.errors import BadInput
from logbook.records.check_entry import refuse_centre_screw
from logbook.records.entries import Adjustment

_FLAGS = re.IGNORECASE
_WHAT = {
    "tilt": "tilt plate", "tilt plate": "tilt plate", "tilter": "tilt plate",
    "focuser": "focuser",
    "camera": "camera", "rotator": "camera",
    "primary": "primary",
    "secondary": "secondary",
    "spacing": "spacing",
}  # fmt: skip
FIRST_WORDS = tuple(_WHAT)
LARGEST = {"turn": 2.0, "mm": 100.0, "deg": 360.0}
_WAYS = {
    "tighten": 1, "tightened": 1, "in": 1, "inward": 1, "inwards": 1, "clockwise": 1, "cw": 1,
    "loosen": -1, "loosened": -1, "out": -1, "outward": -1, "outwards": -1,
    "anticlockwise": -1, "counterclockwise": -1, "ccw": -1,
}  # fmt: skip
_WAY = re.compile(rf"\s*({'|'.join(sorted(_WAYS, key=len, reverse=True))})\b", _FLAGS)
_MOVED = re.compile(
    r"\s*(turned|rotated|tilted|moved|shimmed|re-?seated|squared|adjusted|set|remounted|put\s+back"
    r"|changed)\b",
    _FLAGS,
)
_PLACE = re.compile(
    r"\s*(?:at\s+|toward\s+|screw\s+|the\s+)*("
    r"(?:half\s+past\s+)?[0-9]{1,2}(?:[:.][0-9]{1,2})?\s*(?:o'?\s?clock|oclock)"
    r"|(?:upper|lower|top|bottom)\s+(?:left|right)|top|bottom|left|right|[a-h](?![\w]))",
    _FLAGS,
)
_UNIT = re.compile(
    r"\s*(?:of\s+an?\s+)?(?:(turns?)|(mm|millimet(?:re|er)s?)|(um|microns?)|(deg(?:rees)?|°)"
    r"|(mins?|minutes?|m|')(?:\s+of\s+(?:the\s+|a\s+)?clock)?)(?![a-z])",
    _FLAGS,
)
_RESULT = re.compile(r"\s*(?:(?:now|looks|is|it's|the)\s+)*(better|same|worse)\b", _FLAGS)
_SKIPPED = re.compile(r"[\s,.:]+|(?:by|of|a|an|the|screws?|and|it|plate|angle|with|tilt)\b", _FLAGS)
# `primary 7.4` is how warm the mirror is, `primary in 1 mm` where it was set.
_TEMPERATURE = re.compile(
    rf"(?:[\s:=]|(?:is|at|now)\b)*{NUMBER}\s*(?:°?\s*[cf]\b|°(?!\w)|(?=$|[,;]|\s+[a-z]{{3,}}))"
    r"(?!\s*(?:deg|turn|mm|um|mic|mil|of))",
    _FLAGS,
)
_WORDS_OF_CARE = {"primary", "secondary"}


@dataclass(slots=True)
class _Found:
    place: str = ""
    way: int | None = None
    amount: float | None = None
    unit: str | None = None
    moved: bool = False
    result: str | None = None


def adjustment(line: Line) -> Parsed:
    """Read what was set, where and by how much. Raises Unclear; plain talk raises NotThis."""
    if line.word == "primary" and _TEMPERATURE.match(line.rest):
        return measures(line)
    what, found, scan = _WHAT[line.word], _Found(), Scan(line.rest)
    if what == "secondary":
        _refuse_turns(line)
    while not scan.ended:
        if not _take(scan, found) and not scan.take(_SKIPPED):
            if found.moved or found.way is not None or found.amount is not None:
                raise Unclear(
                    f"{scan.stretch()} is not known here. A remark goes after a semicolon."
                )
            raise NotThis
    refuse_two_ways(line.rest)
    if not found.moved and found.way is None and found.amount is None:
        raise NotThis
    made = _complete(what, found)
    remarks = (_CARE,) if what in _WORDS_OF_CARE else ()
    return Parsed(replace(line.entry("adjust"), adjustment=made), remarks)


def _refuse_turns(line: Line) -> None:
    """The outer screws are turned by name, so that their sums stay true; the centre one never."""
    if not (_WAY.search(line.rest) or _UNIT.search(line.rest)):
        return
    try:
        refuse_centre_screw(line.rest)
    except BadInput as why:
        raise Unclear(str(why)) from why
    for screw in line.around.screws:
        if re.search(rf"(?<!\w){re.escape(screw.name)}(?!\w)", line.rest, _FLAGS):
            raise Unclear(f"That is a turn of {screw.name}: turn {screw.name} tighten 1/8.")


_CARE = "before a screw that holds a mirror is loosened: tube level, a hand under the cell"


def _take(scan: Scan, found: _Found) -> bool:
    place = scan.take(_PLACE) if not found.place else None
    if place:
        found.place = " ".join(place[1].split())
        return True
    way = scan.take(_WAY)
    if way:
        found.way = _WAYS[way[1].casefold()]
        return True
    result = scan.take(_RESULT)
    if result:
        found.result = result[1].casefold()
        return True
    if scan.take(_MOVED):
        found.moved = True
        return True
    return _take_amount(scan, found)


def _take_amount(scan: Scan, found: _Found) -> bool:
    amount = take_in_words(scan)
    if amount is None:
        amount = take_fraction(scan)
    digits = None
    if amount is None:
        digits = take_number(scan)
        if digits is None:
            return False
        amount = number(digits)
    if found.amount is not None:
        raise Unclear("Two amounts are named. One adjustment a line.")
    found.amount, found.unit = _in_unit(scan, amount, digits)
    return True


def _in_unit(scan: Scan, amount: float, digits: str | None) -> tuple[float, str]:
    unit = scan.take(_UNIT)
    if unit is None:
        if digits is not None:
            raise Unclear(f"{digits[:8]} of what? {digits[:8]} mm, {digits[:8]} deg, or 1/8.")
        return amount, "turn"
    if unit[2]:
        return amount, "mm"
    if unit[3]:
        return amount / 1000.0, "mm"
    if unit[4]:
        return amount, "deg"
    return (amount / 60.0 if unit[5] else amount), "turn"


def _complete(what: str, found: _Found) -> Adjustment:
    amount = found.amount
    if amount is not None and found.unit is not None:
        if abs(amount) > LARGEST[found.unit]:
            raise Unclear(f"{abs(amount):g} {found.unit} is too much for one adjustment.")
        if found.unit == "turn" and found.way is None and what != "camera":
            raise Unclear("Which way? tighten or loosen (in, out).")
        amount = round(abs(amount) * (found.way or (1 if amount > 0 else -1)), 5)
        if amount == 0:
            raise Unclear("An adjustment of nothing is none.")
    place = found.place
    if amount is None and found.way is not None:
        place = f"{place} {'in' if found.way > 0 else 'out'}".strip()
    return Adjustment(what, place, amount, found.unit, found.result)
