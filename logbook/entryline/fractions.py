"""Parts of a whole as people say them: `a quarter`, `3/16`, `12 %`, `0.12`."""

import re

from logbook.entryline.tokens import NUMBER, Scan, fraction, number

_FLAGS = re.IGNORECASE
_PARTS = {
    "half": 0.5, "halves": 0.5, "third": 1 / 3, "quarter": 0.25, "fifth": 0.2, "sixth": 1 / 6,
    "eighth": 0.125, "tenth": 0.1, "twelfth": 1 / 12, "sixteenth": 0.0625,
    "twentieth": 0.05, "thirty-second": 0.03125,
}  # fmt: skip
COUNTS = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
    "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_PART_WORDS = (
    r"halves|half|thirds?|quarters?|fifths?|sixths?|eighths?|tenths?|twelfths?|sixteenths?"
    r"|twentieths?|thirty-seconds?"
)
_COUNT_WORDS = "|".join(COUNTS)
_IN_WORDS = re.compile(
    rf"\s*(?:({_COUNT_WORDS}|[0-9]+)[\s-]+)?(?:of\s+an?\s+)?({_PART_WORDS})\b", _FLAGS
)
_PER_CENT = re.compile(rf"\s*({NUMBER})\s*%")
_AS_FRACTION = re.compile(r"\s*(?:([0-9]+)\s+)?([0-9]+)\s*/\s*([0-9]+)(?![0-9.])")
_AS_NUMBER = re.compile(rf"\s*({NUMBER})(?![0-9])")


def take_in_words(scan: Scan) -> float | None:
    """`a quarter`, `three sixteenths`, `half`."""
    found = scan.take(_IN_WORDS)
    if found is None:
        return None
    count = (found[1] or "a").casefold()
    how_many = float(COUNTS[count]) if count in COUNTS else number(count)
    name = found[2].casefold()
    return how_many * _PARTS.get(name, _PARTS.get(name.removesuffix("s"), 0.0))


def take_fraction(scan: Scan) -> float | None:
    """`1/8`, `1 1/2`."""
    found = scan.take(_AS_FRACTION)
    return None if found is None else number(found[1] or "0") + fraction(found[2], found[3])


def take_per_cent(scan: Scan) -> float | None:
    """A percentage at the scan's place, as a share of 1; None where there is none."""
    found = scan.take(_PER_CENT)
    return None if found is None else number(found[1]) / 100.0


def take_number(scan: Scan) -> str | None:
    """The digits of a number, so that the caller can see how it was written."""
    found = scan.take(_AS_NUMBER)
    return None if found is None else found[1]
