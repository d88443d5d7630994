"""A star looked at in focus or in a corner: `check round on Vega`, `check uneven toward 4`."""

import re
from dataclasses import replace

from logbook.entryline.context import Line, NotThis, Parsed, Unclear
from logbook.entryline.star_conditions import StarFacts
from logbook.entryline.star_test import take_hour
from logbook.entryline.tokens import Scan, refuse_two_ways
from logbook.records.entries import StarCheck

_FLAGS = re.IGNORECASE
FIRST_WORDS = ("check", "checked")
VERDICTS = {
    "round": "round", "even": "round", "good": "round", "concentric": "round",
    "uneven": "uneven", "lopsided": "uneven",
    "flared": "flared", "flare": "flared", "comatic": "flared", "tailed": "flared",
    "long": "long", "elongated": "long", "oval": "long", "egg": "long", "astigmatic": "long",
    "double": "double", "doubled": "double",
}  # fmt: skip
_VERDICT = re.compile(rf"\s*({'|'.join(sorted(VERDICTS, key=len, reverse=True))})\b", _FLAGS)
_PLACE = re.compile(
    r"\s*(?:in\s+(?:the\s+)?)?(focus|(?:(?:upper|lower|top|bottom)\s+(?:left|right)\s+)?corner"
    r"|(?:left|right|upper|lower|top|bottom)\s+edge|centre|center|edge)\b",
    _FLAGS,
)
_SKIPPED = re.compile(
    r"[\s,.:]+|(?:star|stars|is|are|looks?|the|a|an|and|all|very|ring|rings|disc|shape|of|now)\b",
    _FLAGS,
)
_HOW = "How does the star look? round, uneven, flared, long or double: check round on Vega."


def star_check(line: Line) -> Parsed:
    """Read how a star looks in focus. Raises Unclear, NotThis."""
    refuse_two_ways(line.rest)
    scan, facts = Scan(line.rest), StarFacts()
    verdict: str | None = None
    place = "in focus"
    hour: float | None = None
    while not scan.ended:
        found, where = scan.take(_VERDICT), None if verdict else scan.take(_PLACE)
        where = where or scan.take(_PLACE)
        if found:
            verdict = VERDICTS[found[1].casefold()]
        if where:
            place = _place(where[1])
        if found or where or facts.take(scan):
            continue
        taken = take_hour(scan)
        if taken is not None:
            hour = taken
        elif not scan.take(_SKIPPED):
            _refuse(scan, verdict)
    if verdict is None:
        raise NotThis if _is_talk(line) else Unclear(_HOW)
    return Parsed(replace(line.entry("check"), check=_check(verdict, place, hour, facts)))


def _check(verdict: str, place: str, hour: float | None, facts: StarFacts) -> StarCheck:
    return StarCheck(
        verdict=verdict,
        position_angle_deg=None if hour is None else (hour - 3.0) * 30.0 % 360.0,
        place=place,
        star=facts.star,
        star_role=facts.star_role,
        altitude_deg=facts.altitude_deg,
        pier_side=facts.pier_side,
    )


def _place(words: str) -> str:
    folded = " ".join(words.casefold().replace("center", "centre").split())
    return "in focus" if folded == "focus" else folded


def _refuse(scan: Scan, verdict: str | None) -> None:
    """Plain talk (`check the dew heater`) is a note; a check with something odd is asked about."""
    if verdict is None:
        raise NotThis
    raise Unclear(f"{scan.stretch()} is not known here. A remark goes after a semicolon.")


def _is_talk(line: Line) -> bool:
    return bool(line.rest) and not any(
        word in line.rest.casefold() for word in ("star", "focus", "corner", "edge")
    )
