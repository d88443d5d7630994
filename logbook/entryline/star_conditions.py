"""Facts of a look that may stand beside where the shadow sits: which star, where in the sky."""

import re
from dataclasses import dataclass

from logbook.entryline.context import Unclear
from logbook.entryline.tokens import NUMBER, Scan, number

_FLAGS = re.IGNORECASE
ON_STAR = re.compile(
    r"\s*on\s+((?!the\b)[^\W\d_][\w'-]*"
    r"(?:\s+(?!(?:towards?|at|inside|outside|and|with|a|an|the|second|first|east|west|alt\w*|pier)\b)"
    r"[^\W\d_][\w'-]*){0,2})",
    _FLAGS,
)
_ROLE = re.compile(r"\s*(?:the\s+)?(first|second|2nd|1st)\s+star\b", _FLAGS)
_PIER = re.compile(
    r"\s*(?:(?:the\s+)?pier\s+(east|west)|(east|west)(?:\s+(?:side|of\s+(?:the\s+)?pier))+)\b",
    _FLAGS,
)
_ALTITUDE = re.compile(
    rf"\s*(?:alt(?:itude)?\s*(?:of\s*)?({NUMBER})\s*(?:°|deg(?:rees)?)?"
    rf"|({NUMBER})\s*(?:°|deg(?:rees)?)\s*(?:up|high|alt(?:itude)?))(?![\w.])",
    _FLAGS,
)


@dataclass(slots=True)
class StarFacts:
    """What was gathered so far; what stays None was not typed."""

    star: str | None = None
    star_role: str | None = None
    pier_side: str | None = None
    altitude_deg: float | None = None

    def take(self, scan: Scan) -> bool:
        """Take one fact where the scan stands, if there is one. Raises Unclear."""
        role = scan.take(_ROLE)
        if role:
            self.star_role = "second" if role[1].casefold() in ("second", "2nd") else "first"
            return True
        pier = scan.take(_PIER)
        if pier:
            self.pier_side = (pier[1] or pier[2]).casefold()
            return True
        altitude = scan.take(_ALTITUDE)
        if altitude:
            self.altitude_deg = _altitude(number(altitude[1] or altitude[2]))
            return True
        star = scan.take(ON_STAR)
        if star:
            self.star = star[1].strip()
        return bool(star)


def _altitude(value: float) -> float:
    if not 0.0 <= value <= 90.0:
        raise Unclear(f"an altitude of {value:g}° is not possible: 0 to 90.")
    return value
