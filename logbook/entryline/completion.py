"""What Tab may put in place of a line being typed: whole lines, likeliest first."""

import re
from collections.abc import Iterable

from logbook.entryline import adjustment, frames, readings, screw_turn, star_check
from logbook.entryline.context import Surroundings
from logbook.entryline.times import without_time
from logbook.text import clean, fold

_MOST = 12
_LONGEST = 400
FIRST_WORDS = (
    "seeing", "transparency", "cloud", "wind", "dew point", "air", "mirror", "humidity", "sky",
    "focus", "start", "stop", "frames", "darks", "flats", "bias", "again", "guiding", "drift",
    "shadow", "check", "turn", "put back", "tilt plate", "camera turned", "kit", "meridian",
    "note", "trouble", "break", "back", "upkeep", "transport", "setup", "limit", "pressure",
    "tube", "sensor", "fwhm",
)  # fmt: skip
_MEASURES = tuple(each for each in FIRST_WORDS if each in readings.WORDS)
_OBJECT = ("start", "stop", "object", "target", "end")
_LOOK = (
    "toward", "centred", "inside focus", "outside focus", "a quarter", "an eighth", "on",
    "second star", "pier east", "pier west",
)  # fmt: skip
_CHECK = ("round", "uneven", "flared", "long", "double", "toward", "corner", "on", "second star")


def completions(typed: str, around: Surroundings) -> tuple[str, ...]:
    """Whole lines that the typed one may become. Nothing for a line too long to be one."""
    if len(typed) > _LONGEST:
        return ()
    text = clean(typed)
    body = without_time(text)
    before = text[: len(text) - len(body)]
    open_word = not typed[-1:].isspace()
    first, space, rest = body.partition(" ")
    if not space and open_word:
        return _lines(before, body, FIRST_WORDS)
    word = fold(first).strip(":,.")
    if word in _OBJECT:
        names = around.complete_object(rest) if rest else []
        return tuple(f"{before}{first} {clean(name)}" for name in names[:_MOST])
    if word in ("kit", "train"):
        return _lines(f"{before}{first} ", rest, around.trains)
    if word == "upkeep":
        parts = () if ":" in rest else tuple(f"{name}:" for name in around.parts)
        return _lines(f"{before}{first} ", rest, parts)
    kept, last = _last_word(body, open_word)
    return _lines(before + kept, last, _next_words(word, kept, around))


def _last_word(body: str, open_word: bool) -> tuple[str, str]:
    """What stays as it is, and the word being typed ("" after a space)."""
    if not open_word:
        return f"{body} ", ""
    kept, space, last = body.rpartition(" ")
    return kept + space, last


def _next_words(word: str, kept: str, around: Surroundings) -> tuple[str, ...]:
    if word in screw_turn.FIRST_WORDS:
        return _turn_words(word, kept, around)
    if word in frames.FIRST_WORDS or re.match(r"[0-9]", word):
        return (*around.filters, *frames.KEYWORDS)
    if word in ("shadow", "star"):
        return _LOOK
    if word in star_check.FIRST_WORDS:
        return _CHECK
    if word in adjustment.FIRST_WORDS:
        return ("tighten", "loosen", "turned", *screw_turn.RESULTS)
    if word in readings.WORDS:
        said = set(fold(kept).split())
        return tuple(each for each in _MEASURES if each not in said)
    return ()


def _turn_words(word: str, kept: str, around: Surroundings) -> tuple[str, ...]:
    said = fold(kept).split()[1:]
    names = tuple(screw.name for screw in around.screws)
    if not any(fold(name) in said for name in names):
        return names
    directed = word not in ("turn", "turned", "screw")
    if not directed and not any(each in said for each in screw_turn.DIRECTIONS):
        return screw_turn.DIRECTIONS
    return (*screw_turn.RESULTS, "put back")


def _lines(before: str, begun: str, known: Iterable[str]) -> tuple[str, ...]:
    wanted = fold(begun)
    found = (name for name in known if fold(name).startswith(wanted) and fold(name) != wanted)
    return tuple(f"{before}{clean(name)}" for name in found)[:_MOST]
