"""Signs, numbers and spelling of a typed line."""

import math
import re

from logbook.entryline.context import Unclear

_SIGNS = str.maketrans(
    {
        "’": "'", "‘": "'", "′": "'", "`": "'", "´": "'",
        "″": '"', "“": '"', "”": '"', "„": '"',
        "×": "x", "✕": "x", "✖": "x",
        "−": "-", "–": "-", "—": "-",
        "⁄": "/", "∕": "/",
        "µ": "u", "μ": "u", "α": "a", "β": "b",
        "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3",
        "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8", "⅙": " 1/6",
    }
)  # fmt: skip

NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_DECIMAL_COMMA = re.compile(r"(?<=[0-9]),(?=[0-9]{1,2}(?![0-9]))")
_TWO_WAYS = re.compile(r"[0-9]+,[0-9]{3,}")
_LONGEST_NUMBER = 15


def plain(text: str) -> str:
    """`text` with one sign for each meaning: ' " x - / and a point for decimals; same case."""
    signs = text.translate(_SIGNS).replace("''", '"')
    return " ".join(_DECIMAL_COMMA.sub(".", signs).split())


def refuse_two_ways(text: str) -> None:
    """Raises Unclear for a comma that may part thousands or decimals."""
    found = _TWO_WAYS.search(text)
    if found:
        digits = found.group()[:_LONGEST_NUMBER]
        raise Unclear(
            f"{digits} can be read two ways: write {digits.replace(',', '')} "
            f"or {digits.replace(',', '.')}."
        )


def number(digits: str) -> float:
    """The number these digits write. Raises Unclear if it is too long to be one."""
    if len(digits) > _LONGEST_NUMBER:
        raise Unclear(f"{digits[:_LONGEST_NUMBER]}… is too long for a number.")
    value = float(digits)
    assert math.isfinite(value)
    return value


def fraction(above: str, below: str) -> float:
    """`above` divided by `below`. Raises Unclear for nothing below."""
    divisor = number(below)
    if divisor == 0:
        raise Unclear(f"{above}/{below} is not a number.")
    return number(above) / divisor


def in_range(value: float, what: str, low: float, high: float, unit: str) -> float:
    """`value`, if it is possible. Raises Unclear with what would be."""
    if low <= value <= high:
        return value
    raise Unclear(f"{what} {value:.10g}{unit} is not possible: {low:.10g} to {high:.10g}{unit}.")


class Scan:
    """A place in a line that moves on as patterns are found there."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        """What the pattern finds at this very place, moving past it."""
        found = pattern.match(self.text, self.at)
        if found:
            self.at = found.end()
        return found

    @property
    def ended(self) -> bool:
        """Whether all of the text was taken."""
        return self.at >= len(self.text)

    def stretch(self) -> str:
        """A short piece from here on, to be shown."""
        piece = self.text[self.at :].strip()
        return piece if len(piece) <= 24 else f"{piece[:23]}…"


def steps_between(one: str, other: str, most: int) -> int:
    """How many letters must be put, dropped, changed or swapped with their neighbour.

    Counts no further than `most + 1`. Source: the optimal string alignment distance, after
    Damerau 1964, CACM 7, 171.
    """
    if abs(len(one) - len(other)) > most:
        return most + 1
    before_last: list[int] = []
    last = list(range(len(other) + 1))
    for i, letter in enumerate(one, start=1):
        row = [i]
        for j, other_letter in enumerate(other, start=1):
            changed = last[j - 1] + (letter != other_letter)
            steps = min(last[j] + 1, row[j - 1] + 1, changed)
            swapped = i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == other_letter
            if swapped:
                steps = min(steps, before_last[j - 2] + 1)
            row.append(steps)
        before_last, last = last, row
    return min(last[-1], most + 1)


def allowed_steps(word: str) -> int:
    """How many slips are forgiven in a word of that length."""
    if len(word) < 4:
        return 0
    return 1 if len(word) < 8 else 2


def nearest(word: str, known: tuple[str, ...]) -> str | None:
    """The known word a misspelt one must mean; None if there is none, or if two are as near."""
    most = allowed_steps(word)
    if not most or len(word) > 30:
        return None
    found = [(steps_between(word, each, most), each) for each in known]
    near = sorted(each for each in found if 0 < each[0] <= most)
    if not near or (len(near) > 1 and near[0][0] == near[1][0]):
        return None
    return near[0][1]
