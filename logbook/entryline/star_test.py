"""Star tests: where the shadow sits in the disc, as in `shadow toward 4 o'clock, a quarter`."""

import re
from dataclasses import replace

from logbook.entryline.context import Line, Parsed, Unclear
from logbook.entryline.fractions import (
    COUNTS,
    take_fraction,
    take_in_words,
    take_number,
    take_per_cent,
)
from logbook.entryline.star_conditions import StarFacts
from logbook.entryline.tokens import NUMBER, Scan, number, refuse_two_ways
from logbook.records.entries import LookDetail, StarLook

_FLAGS = re.IGNORECASE
FIRST_WORDS = ("shadow", "star")
_HOURS = "|".join(list(COUNTS)[2:])
_CLOCK = re.compile(
    rf"\s*(?:toward|towards|to|at|from|near|around)?\s*(half\s+past\s+)?"
    rf"([0-9]{{1,2}}(?:\.[0-9]+)?|{_HOURS})(?:[:h]([0-5][0-9]))?\s*(?:o'?\s?clock|oclock)\b",
    _FLAGS,
)
_CLOCK_AFTER_WORD = re.compile(
    rf"\s*(?:toward|towards|to|at|near)\s+(half\s+past\s+)?"
    rf"([0-9]{{1,2}}(?:\.[0-9]+)?|{_HOURS})(?:[:h]([0-5][0-9]))?(?![\w.%/])",
    _FLAGS,
)
_CLOCK_COLON = re.compile(r"\s*()([0-9]{1,2})[:h]([0-5][0-9])(?![0-9])", _FLAGS)
_SIDES = {
    "upper right": 1.5, "top right": 1.5, "lower right": 4.5, "bottom right": 4.5,
    "lower left": 7.5, "bottom left": 7.5, "upper left": 10.5, "top left": 10.5,
    "top": 12.0, "up": 12.0, "right": 3.0, "bottom": 6.0, "down": 6.0, "left": 9.0,
}  # fmt: skip
_SIDE = re.compile(rf"\s*(?:(?:toward|towards|to|at|near|the)\s+)*({'|'.join(_SIDES)})\b", _FLAGS)
_CENTRED = re.compile(r"\s*(?:is\s+)?(?:well\s+)?(?:centred|centered|central|concentric)\b", _FLAGS)
_FOCUS_SIDE = re.compile(r"\s*(inside|outside|intra|extra)(?:[\s-]*focus|[\s-]*focal)?\b", _FLAGS)
_UNCERTAIN = re.compile(rf"\s*(?:±|\+/?-)\s*({NUMBER})")
_LOOK_SKIPPED = re.compile(
    r"[\s,.:]+|(?:of|off|by|the|disc|disk|radius|test|look|shadow|star|about|is|sits|a|way|and)\b",
    _FLAGS,
)
_HOW_FAR = "How far from the middle? A quarter, 0.12 or 12 % of the disc's radius, or centred."
_WHICH_WAY = "Toward which hour? Seen as a clock face: shadow 0.12 at 4 o'clock."


def star_test(line: Line) -> Parsed:
    """Read where the shadow sits in the disc. Raises Unclear."""
    refuse_two_ways(line.rest)
    scan = Scan(line.rest)
    offset: float | None = None
    hour: float | None = None
    look, facts = StarLook(0.0), StarFacts()
    while not scan.ended:
        if facts.take(scan):
            continue
        toward = take_hour(scan)  # before a plain amount: 4 o'clock is no offset
        if toward is not None:
            if hour is not None:
                raise Unclear(f"Two directions are named. {_WHICH_WAY}")
            hour = toward
            continue
        amount = 0.0 if scan.take(_CENTRED) else _take_offset(scan)
        if amount is not None:
            if offset is not None:
                raise Unclear(f"Two distances are named. {_HOW_FAR}")
            offset = amount
            continue
        taken = _take_about_look(scan, look)
        if taken is None and not scan.take(_LOOK_SKIPPED):
            raise Unclear(f"{scan.stretch()} is not known here. A remark goes after a semicolon.")
        look = taken or look
    return _look_complete(line, _with_facts(look, facts), offset, hour)


def take_hour(scan: Scan) -> float | None:
    """A direction, as an hour of the clock: `toward 4 o'clock`, `4:30`, `upper left`."""
    clock = scan.take(_CLOCK) or scan.take(_CLOCK_AFTER_WORD) or scan.take(_CLOCK_COLON)
    if clock:
        return _hour(clock)
    side = scan.take(_SIDE)
    return _SIDES[side[1].casefold()] if side else None


def _with_facts(look: StarLook, facts: StarFacts) -> StarLook:
    detail = LookDetail(
        altitude_deg=facts.altitude_deg, pier_side=facts.pier_side, star_role=facts.star_role
    )
    return replace(look, star=facts.star, detail=None if detail == LookDetail() else detail)


def _look_complete(line: Line, look: StarLook, offset: float | None, hour: float | None) -> Parsed:
    if offset is None:
        raise Unclear(_HOW_FAR)
    if not 0.0 <= offset <= 1.0:
        raise Unclear(f"{offset:g} of the radius is outside the disc: 0 to 1.")
    if hour is None and offset > 0:
        raise Unclear(_WHICH_WAY)
    angle_deg = None if hour is None else (hour - 3.0) * 30.0 % 360.0
    look = replace(look, offset_fraction=round(offset, 4), position_angle_deg=angle_deg)
    return Parsed(replace(line.entry("star"), look=look))


def _take_about_look(scan: Scan, look: StarLook) -> StarLook | None:
    side = scan.take(_FOCUS_SIDE)
    if side:
        inside = side[1].casefold() in ("inside", "intra")
        return replace(look, side_of_focus="inside" if inside else "outside")
    sigma = scan.take(_UNCERTAIN)
    if sigma:
        value = number(sigma[1])
        if not 0.0 <= value <= 1.0:
            raise Unclear(f"an uncertainty of {value:g} is not possible: 0 to 1.")
        return replace(look, offset_sigma=value)
    return None


def _hour(found: re.Match[str]) -> float:
    word = found[2].casefold()
    hour = float(COUNTS[word]) if word in COUNTS else number(word)
    hour += 0.5 if found[1] else 0.0
    hour += int(found[3]) / 60.0 if found[3] else 0.0
    if not 0.0 < hour < 13.0:
        raise Unclear(f"There is no {hour:g} o'clock here: 1 to 12, 12 at the top.")
    return hour % 12.0 or 12.0


def _take_offset(scan: Scan) -> float | None:
    for take in (take_in_words, take_per_cent, take_fraction):
        offset = take(scan)
        if offset is not None:
            return offset
    digits = take_number(scan)
    return None if digits is None else number(digits)
