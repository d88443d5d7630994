"""What every value that goes into a book must be. Each check returns what will be saved."""

import math
from datetime import UTC, datetime

from logbook.errors import BadInput
from logbook.text import clean

_FIRST_YEAR, _LAST_YEAR = 1900, 2200


def instant(value: datetime, what: str = "the time") -> datetime:
    """An aware instant, in UTC. Raises BadInput for a naive one or an impossible year."""
    if value.tzinfo is None or value.utcoffset() is None:
        raise BadInput(f"{what} has no time zone: {value.isoformat()}")
    try:
        utc = value.astimezone(UTC)
    except OverflowError as error:
        raise BadInput(f"{what} is not possible: {value.isoformat()}") from error
    if not _FIRST_YEAR <= utc.year < _LAST_YEAR:
        raise BadInput(f"{what} is not possible: the year {utc.year}")
    return utc


def line(text: str, what: str, longest: int, *, wanted: bool = False) -> str:
    """One clean line. Raises BadInput for one that is too long, or missing where it is wanted.

    Nothing is cut, so that no words of the user are lost.
    """
    kept = clean(text, longest=4 * len(text) + 1)
    if len(kept) > longest:
        raise BadInput(f"{what} may be {longest} characters long; this is {len(kept)}")
    if wanted and not kept:
        raise BadInput(f"{what} is missing")
    return kept


def maybe_line(text: str | None, what: str, longest: int) -> str | None:
    """One clean line, or None for nothing."""
    return None if text is None else line(text, what, longest) or None


def number(value: float, what: str, low: float, high: float, unit: str = "") -> float:
    """A number from `low` to `high`, both included. Raises BadInput."""
    if not math.isfinite(value) or not low <= value <= high:
        space = "" if unit in ("", "°", "″", "×") else " "
        given = f"{value:.10g}{space}{unit}"
        raise BadInput(f"{what} {given} is not possible: {low:.10g} to {high:.10g}")
    return float(value)


def maybe_number(
    value: float | None, what: str, low: float, high: float, unit: str = ""
) -> float | None:
    """The same where there is a number."""
    return None if value is None else number(value, what, low, high, unit)


def whole(value: int, what: str, low: int, high: int) -> int:
    """A whole number from `low` to `high`, both included. Raises BadInput."""
    if value != int(value) or not low <= value <= high:
        raise BadInput(f"{what} {value} is not possible: {low} to {high}, whole")
    return int(value)


def maybe_whole(value: int | None, what: str, low: int, high: int) -> int | None:
    """The same where there is a number."""
    return None if value is None else whole(value, what, low, high)


def one_of(value: str, what: str, words: tuple[str, ...]) -> str:
    """A word that is one of `words`. Raises BadInput naming them."""
    if value not in words:
        raise BadInput(f"{what} {clean(value, longest=60)!r} is unknown: {', '.join(words)}")
    return value


def maybe_one_of(value: str | None, what: str, words: tuple[str, ...]) -> str | None:
    """The same where there is a word."""
    return None if value is None else one_of(value, what, words)
