"""Latitude and longitude as people write them."""

import re
from dataclasses import dataclass

from logbook.errors import BadInput
from logbook.text import clean

_HELP = "write it like 52.1 -3.7, or 52°06'30\" N 3°42' W"
_SIGNS = str.maketrans(
    {
        "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "º": "°", "˚": "°", "∘": "°",
        "′": "'", "’": "'", "‘": "'", "ʹ": "'", "´": "'", "`": "'",
        "″": '"', "”": '"', "“": '"', "ʺ": '"', "\u00a0": " ", "\u202f": " ", "\u2009": " ",
    }
)  # fmt: skip
_WORDS = (
    (r"\b(?:latitude|longitude|lat|long|lon)\b\.?\s*[:=]?", " "),
    (r"\bnorth\b", " N "),
    (r"\bsouth\b", " S "),
    (r"\beast\b", " E "),
    (r"\bwest\b", " W "),
    (r"(\d)\s*d\s*(\d+)\s*m\s*([\d.,]+)\s*s(?![a-z])", r"\1°\2'" r'\3"'),
    (r"(\d)\s*d\s*([\d.,]+)\s*m(?![a-z])", r"\1°\2'"),
    (r"(\d)\s*(?:degrees|degree|deg|d)(?![a-z])\.?", r"\1°"),
    (r"(\d)\s*(?:minutes|minute|min)(?![a-z])\.?", r"\1'"),
    (r"(\d)\s*(?:seconds|second|sec)(?![a-z])\.?", r'\1"'),
    (r"''", '"'),
)
_TOKEN = re.compile(
    r"(?P<sign>[+-]\s*)?(?P<number>\d+(?:\.\d*)?|\.\d+)\s*(?P<mark>[°'\":])?"
    r"|(?P<letter>[NSEWO])(?P<joined>(?=[\d.+-]))?|(?P<split>[,;/|])|(?P<space>\s+)",
    re.IGNORECASE | re.ASCII,
)


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str  # "number", "letter" or "split"
    text: str
    sign: str = ""
    mark: str = ""
    joined: bool = False  # a letter right before its number


def read_coordinates(text: str) -> tuple[float, float]:
    """Latitude and longitude in degrees, north and east positive, from any usual form.

    Decimal or sexagesimal, with signs or N S E W on either side, latitude first unless the
    letters say otherwise, a decimal comma where it can only be that. Raises BadInput, saying what
    is wrong.
    """
    plain = _plain(clean(text, longest=200))
    readings: list[tuple[float, float]] = []
    refusals: list[BadInput] = []
    for candidate in dict.fromkeys((plain, _decimal_commas(plain))):
        try:
            readings.append(_read(candidate))
        except BadInput as refusal:
            refusals.append(refusal)
    if len(set(readings)) > 1:
        raise BadInput("the comma may be a decimal sign or stand between the two: use a point")
    if not readings:
        raise refusals[-1]
    return readings[0]


def show_coordinates(latitude_deg: float, longitude_deg: float) -> str:
    """Both in degrees, minutes and seconds, `52°06′30″ N 3°42′00″ W`; 1″ is at most 31 m."""
    return f"{_show(latitude_deg, 'N', 'S')} {_show(longitude_deg, 'E', 'W')}"


def _show(angle_deg: float, positive: str, negative: str) -> str:
    seconds = round(abs(angle_deg) * 3600)
    minutes, second = divmod(seconds, 60)
    degree, minute = divmod(minutes, 60)
    letter = negative if angle_deg < 0 and seconds else positive
    return f"{degree}°{minute:02d}′{second:02d}″ {letter}"


def _plain(text: str) -> str:
    plain = text.translate(_SIGNS)
    for pattern, replacement in _WORDS:
        plain = re.sub(pattern, replacement, plain, flags=re.IGNORECASE | re.ASCII)
    return plain.strip()


def _decimal_commas(text: str) -> str:
    """The same with each comma between digits read as a decimal sign, if no point is used."""
    if "." in text:
        return text
    return re.sub(r"(?<=\d),(?=\d)", ".", text, flags=re.ASCII)


def _read(text: str) -> tuple[float, float]:
    first, second = _halves(_tokens(text))
    (first_deg, first_letter), (second_deg, second_letter) = _angle(first), _angle(second)
    for both in ("NS", "EW"):
        if first_letter in both and second_letter in both and first_letter and second_letter:
            raise BadInput(f"both are {both[0]} or {both[1]}: one must be N or S, the other E or W")
    if first_letter in ("E", "W") or second_letter in ("N", "S"):
        first_deg, second_deg = second_deg, first_deg
    if abs(first_deg) > 90.0:
        raise BadInput(f"latitude {first_deg:g}° is beyond 90°: it comes first, or add N and E")
    if abs(second_deg) > 180.0:
        raise BadInput(f"longitude {second_deg:g}° is beyond 180°: count it east or west")
    return first_deg, second_deg


def _tokens(text: str) -> list[_Token]:
    tokens: list[_Token] = []
    position = 0
    while position < len(text):
        match = _TOKEN.match(text, position)
        if match is None or _runs_on(text, match):
            rest = text[position : position + 20]
            raise BadInput(f"{rest!r} cannot be read as part of a place: {_HELP}")
        position = match.end()
        if match["number"]:
            sign = (match["sign"] or "").strip()
            tokens.append(_Token("number", match["number"], sign, match["mark"] or ""))
        elif match["letter"]:
            letter = match["letter"].upper()
            if letter == "O":
                raise BadInput("O is east to some and west to others: write E or W")
            tokens.append(_Token("letter", letter, joined=match["joined"] is not None))
        elif match["split"]:
            tokens.append(_Token("split", match["split"]))
    if not any(token.kind == "number" for token in tokens):
        raise BadInput(f"no latitude and longitude in it: {_HELP}")
    return tokens


def _runs_on(text: str, match: re.Match[str]) -> bool:
    """Whether a number follows another with nothing between, or with an E that may be a power."""
    if match["number"] is None:
        return False
    before = text[: match.start()]
    after_number = not match["sign"] and re.search(r"\d\.?$", before)
    return bool(after_number or re.search(r"\d\.?[eE]$", before))


def _halves(tokens: list[_Token]) -> tuple[list[_Token], list[_Token]]:
    """What belongs to the first angle and what to the second."""
    splits = [i for i, token in enumerate(tokens) if token.kind == "split"]
    if len(splits) > 1:
        raise BadInput(f"there are too many separators in it: {_HELP}")
    if splits:
        return tokens[: splits[0]], tokens[splits[0] + 1 :]
    letters = [i for i, token in enumerate(tokens) if token.kind == "letter"]
    at = _split_by_letters(tokens, letters) if letters else None
    if at is None:
        at = _split_by_numbers(tokens)
    return tokens[:at], tokens[at:]


def _split_by_letters(tokens: list[_Token], letters: list[int]) -> int | None:
    if len(letters) > 2:
        raise BadInput(f"there are too many letters in it: {_HELP}")
    if len(letters) == 2:
        return letters[1] if letters[0] == 0 else letters[0] + 1
    only = letters[0]
    if only in (0, len(tokens) - 1):
        return None
    return only if tokens[only].joined else only + 1


def _split_by_numbers(tokens: list[_Token]) -> int:
    numbers = [i for i, token in enumerate(tokens) if token.kind == "number"]
    later = numbers[1:]
    starts = [i for i in later if tokens[i].sign or tokens[i].mark == "°"]
    if not starts and any(tokens[i].mark == ":" for i in numbers):
        starts = [i for i in later if tokens[i - 1].mark != ":"]
    if not starts and len(numbers) in (2, 4, 6):
        starts = [numbers[len(numbers) // 2]]
    if len(starts) != 1:
        raise BadInput(f"it does not show where latitude ends and longitude begins: {_HELP}")
    return starts[0]


def _angle(tokens: list[_Token]) -> tuple[float, str]:
    """One angle in degrees and its letter ("" if none)."""
    letters = [token.text for token in tokens if token.kind == "letter"]
    numbers = [token for token in tokens if token.kind == "number"]
    if len(letters) > 1 or not 1 <= len(numbers) <= 3:
        raise BadInput(f"latitude and longitude are each one to three numbers: {_HELP}")
    if letters and tokens[0].kind != "letter" and tokens[-1].kind != "letter":
        raise BadInput(f"a letter stands before or after its numbers: {_HELP}")
    letter = letters[0] if letters else ""
    _check_marks(numbers)
    _check_sizes(numbers)
    if letter and numbers[0].sign == "-":
        raise BadInput(f"a minus and {letter} are one too many: use the one or the other")
    parts = [float(token.text) for token in numbers]
    size = sum(part / scale for part, scale in zip(parts, (1.0, 60.0, 3600.0), strict=False))
    negative = numbers[0].sign == "-" or letter in ("S", "W")
    return (-size if negative else size), letter


def _check_marks(numbers: list[_Token]) -> None:
    for token, wanted in zip(numbers, "°'\"", strict=False):
        if token.mark not in ("", ":", wanted):
            raise BadInput(f"{token.text}{token.mark} is in the wrong place: degrees come first")
    if any(token.sign for token in numbers[1:]):
        raise BadInput("minutes and seconds have no sign of their own")


def _check_sizes(numbers: list[_Token]) -> None:
    for token, what in zip(numbers[1:], ("minutes", "seconds"), strict=False):
        if float(token.text) >= 60.0:
            raise BadInput(f"{token.text} {what} is not possible: below 60")
    if any("." in token.text for token in numbers[:-1]):
        raise BadInput("only the last of degrees, minutes and seconds may have decimals")
