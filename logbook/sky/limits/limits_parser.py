"""Limits as one typed line, and as JSON for the book.

`galaxies, 3 h, above 35, moon 40, fill 20 to 100 %`: the parts need no order, and a comma only
where two numbers would meet.
"""

import difflib
import json
import re
from collections.abc import Callable
from dataclasses import asdict, fields
from decimal import Decimal
from functools import cache
from typing import Any

from logbook.errors import BadInput
from logbook.sky.catalogue.constellations import constellation_names, constellation_words
from logbook.sky.catalogue.kinds import GROUPS, kind_words, plural
from logbook.sky.limits.limits import Limits
from logbook.sky.limits.presets import NARROWBAND_SKY_SHARE
from logbook.text import clean, fold

LIMITS_HELP = (
    "galaxies · 3 h · above 35 · moon 40 · fill 20-100 % · size 5-60' · mag under 12 · "
    "surface 23 · in Cygnus · moonlight 0.5 · narrowband · sun 30"
)

_NUMBER = r"[-−]?\d+(?:\.\d+)?"
_RANGE = (
    rf"(?:(?P<low>{_NUMBER}) ?(?:-|–|to) ?(?P<high>{_NUMBER})"
    rf"|(?:over|above|from|at least|min|>=?|≥) ?(?P<least>{_NUMBER})"
    rf"|(?:under|below|up to|at most|max|to|<=?|≤) ?(?P<most>{_NUMBER})"
    rf"|(?P<bare>{_NUMBER})\+?)"
)
_OVER = r"(?: ?(?:over|above|from|at least|>=?))?"
_UNDER = r"(?: ?(?:under|below|up to|at most|<=?))?"
_DEG = r"(?: ?(?:°|degrees?|deg\b))?"
_END = r"(?![\w.])"

# Each part that may be written, and the limits it sets; longer words stand before shorter ones.
# The line is folded, so that ″ has become two ′.
_PARTS: tuple[tuple[str, str], ...] = (
    ("hours", rf"(?:at least )?(?P<one>{_NUMBER}) ?(?P<unit>hours?|hrs?|h|minutes?|min)"),
    ("altitude", rf"(?:above|altitude|alt){_OVER} ?(?P<one>{_NUMBER}){_DEG}"),
    ("moonlight", rf"moonlight{_UNDER} ?(?P<one>{_NUMBER})(?: ?mag)?"),
    ("moon", rf"moon(?: separation)?{_OVER} ?(?P<one>{_NUMBER}){_DEG}"),
    ("sun", rf"sun(?: separation)?{_OVER} ?(?P<one>{_NUMBER}){_DEG}"),
    ("fill", rf"fill ?{_RANGE}(?: ?%)?"),
    ("size", rf"size ?{_RANGE} ?(?P<unit>\"|′′|arcsec|'|′|arcmin|°|degrees?|deg)?"),
    ("surface", rf"surface(?: brightness)?{_UNDER} ?(?P<one>{_NUMBER})"),
    ("magnitude", rf"(?:magnitude|mag) ?{_RANGE}"),
    ("filter", rf"(?:narrowband|broadband|sky ?(?P<one>{_NUMBER}) ?%)"),
)
_SEPARATORS = re.compile(r"[ ,;]+")
_BETWEEN_NAMES = re.compile(r"[ ,]+(?:(?:and|or) )?")
_EXAMPLES = {
    "above": "above 35",
    "altitude": "altitude 35",
    "moon": "moon 40",
    "moonlight": "moonlight 0.5",
    "sun": "sun 30",
    "fill": "fill 20-100 %",
    "size": "size 5-60'",
    "surface": "surface 23",
    "mag": "mag under 12",
    "magnitude": "magnitude under 12",
    "sky": "sky 5 %",
    "narrowband": "narrowband",
    "broadband": "broadband",
}


def read_limits(typed: str) -> Limits:
    """Limits from a typed line; what it does not name is as usual. Raises BadInput."""
    text = fold(clean(typed)).replace("−", "-")
    found: dict[str, Any] = {}
    at = 0
    while at < len(text):
        separator = _SEPARATORS.match(text, at)
        if separator:
            at = separator.end()
            continue
        values, at = _next_part(text, at)
        _take(found, values)
    return Limits(**found)


def limits_text(limits: Limits) -> str:
    """The line that reads as these limits; empty for the usual ones."""
    usual = Limits()
    parts = [*_kinds_text(limits.kinds)]
    if limits.constellations:
        names = constellation_names()
        parts.append("in " + ", ".join(names[each] for each in limits.constellations))
    if limits.min_hours != usual.min_hours:
        parts.append(_hours_text(limits.min_hours))
    for name, shape in _ONE_NUMBER.items():
        value = getattr(limits, name)
        if value != getattr(usual, name):
            parts.append(shape.format(_plain(value)))
    for words, low, high, unit, times in (
        ("mag", limits.brightest_mag, limits.faintest_mag, "", 1),
        ("size", limits.min_size_arcmin, limits.max_size_arcmin, "'", 1),
        ("fill", limits.min_fill, limits.max_fill, " %", 100),
    ):
        if low is not None or high is not None:
            parts.append(f"{words} {_range_text(low, high, times)}{unit}")
    if limits.sky_share == NARROWBAND_SKY_SHARE:
        parts.append("narrowband")
    elif limits.sky_share != 1.0:
        parts.append(f"sky {_plain(limits.sky_share, 100)} %")
    return ", ".join(parts)


def limits_to_json(limits: Limits) -> str:
    """Limits as JSON: every one by its name."""
    return json.dumps(asdict(limits), ensure_ascii=False)


def limits_from_json(text: str) -> Limits:
    """Limits from what `limits_to_json` wrote; missing ones are as usual. Raises BadInput."""
    try:
        values = json.loads(text)
    except ValueError as error:
        raise BadInput(f"the kept limits are no JSON: {error}") from None
    if not isinstance(values, dict):
        raise BadInput("the kept limits are not a set of named values")
    known = {each.name for each in fields(Limits)}
    for name, value in values.items():
        if name not in known:
            raise BadInput(f"the kept limits name {clean(name, longest=40)!r}: a newer program?")
        values[name] = _from_json(name, value)
    return Limits(**values)


def _from_json(name: str, value: object) -> object:
    if name in ("kinds", "constellations"):
        if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
            raise BadInput(f"the kept {name} are not a list of words")
        return tuple(value)
    may_be_none = getattr(Limits(), name) is None
    if value is None and may_be_none:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadInput(f"the kept {name} is no number: {clean(str(value), longest=40)!r}")
    return float(value)


_ONE_NUMBER = {
    "min_altitude_deg": "above {}",
    "min_moon_separation_deg": "moon {}",
    "min_sun_separation_deg": "sun {}",
    "max_moonlight_mag": "moonlight {}",
    "faintest_surface_mag_arcsec2": "surface {}",
}


def _plain(value: float, times: int = 1) -> str:
    """A number so that it reads as exactly the same again."""
    return format((Decimal(repr(float(value))) * times).normalize(), "f")


def _hours_text(hours: float) -> str:
    minutes = round(hours * 60.0)
    if minutes / 60.0 == hours and minutes % 15:
        return f"{minutes} min"
    return f"{_plain(hours)} h"


def _range_text(low: float | None, high: float | None, times: int) -> str:
    if low is None:
        return f"under {_plain(high or 0.0, times)}"
    if high is None:
        return f"over {_plain(low, times)}"
    return f"{_plain(low, times)} to {_plain(high, times)}"


def _kinds_text(kinds: tuple[str, ...]) -> list[str]:
    for name, together in GROUPS.items():
        if kinds == together:
            return [name]
    return [plural(kind) for kind in kinds]


def _next_part(text: str, at: int) -> tuple[dict[str, Any], int]:
    """What the next part of a line sets, and where it ends. Raises BadInput."""
    for name, pattern in _patterns():
        match = pattern.match(text, at)
        if match:
            return _READ[name](match), match.end()
    kinds = _any_of(tuple(kind_words())).match(text, at)
    if kinds:
        return {"kinds": kind_words()[kinds[0]]}, kinds.end()
    names, end = _constellations(text, at)
    if names:
        return {"constellations": names}, end
    raise BadInput(_not_understood(text[at:]))


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((name, re.compile(pattern + _END)) for name, pattern in _PARTS)


@cache
def _any_of(words: tuple[str, ...]) -> re.Pattern[str]:
    """Any of some words, the longest that fits."""
    ordered = sorted(words, key=len, reverse=True)
    return re.compile(rf"(?:{'|'.join(map(re.escape, ordered))})(?!\w)")


def _constellations(text: str, at: int) -> tuple[tuple[str, ...], int]:
    """The constellations named from here on, and where they end.

    An abbreviation may be a word of English ("and", "for"): it counts only after "in".
    """
    words = constellation_words()
    named = _any_of(tuple(words))
    after_in = re.compile("in ").match(text, at)
    match = named.match(text, after_in.end() if after_in else at)
    if match is None or not (after_in or len(match[0]) > 3):
        return (), at
    found: list[str] = []
    while match:
        found.append(words[match[0]])
        at = match.end()
        separator = _BETWEEN_NAMES.match(text, at)
        match = named.match(text, separator.end()) if separator else None
    return tuple(found), at


def _take(found: dict[str, Any], values: dict[str, Any]) -> None:
    """Add what a part sets; kinds and constellations gather, anything else is given once."""
    for name, value in values.items():
        if name in ("kinds", "constellations"):
            before = found.get(name, ())
            found[name] = before + tuple(each for each in value if each not in before)
        elif name in found:
            raise BadInput(f"{_SAID[name]} is written twice: keep one")
        else:
            found[name] = value


_SAID = {
    "min_hours": "the time",
    "min_altitude_deg": "the altitude",
    "min_moon_separation_deg": "the distance from the Moon",
    "min_sun_separation_deg": "the distance from the Sun",
    "max_moonlight_mag": "the moonlight",
    "faintest_surface_mag_arcsec2": "the surface brightness",
    "brightest_mag": "the magnitude",
    "faintest_mag": "the magnitude",
    "min_size_arcmin": "the size",
    "max_size_arcmin": "the size",
    "min_fill": "the fill",
    "max_fill": "the fill",
    "sky_share": "the filter",
}

_Reader = Callable[[re.Match[str]], dict[str, Any]]


def _one(name: str) -> _Reader:
    return lambda match: {name: float(match["one"])}


def _hours(match: re.Match[str]) -> dict[str, Any]:
    minutes = match["unit"].startswith("m")
    return {"min_hours": float(match["one"]) / (60.0 if minutes else 1.0)}


def _percent(digits: str) -> float:
    return float(Decimal(digits) / 100)


def _range(
    match: re.Match[str], number: Callable[[str], float]
) -> tuple[float | None, float | None, float | None]:
    """The low end, the high end, and a number that stands alone."""
    found = (match["low"] or match["least"], match["high"] or match["most"], match["bare"])
    low, high, bare = (None if digits is None else number(digits) for digits in found)
    return low, high, bare


def _set(**values: float | None) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


def _fill(match: re.Match[str]) -> dict[str, Any]:
    low, high, bare = _range(match, _percent)
    return _set(min_fill=low if bare is None else bare, max_fill=high)


def _size(match: re.Match[str]) -> dict[str, Any]:
    unit = match["unit"] or "'"
    times = 60.0 if unit[0] in "°d" else 1.0 / 60.0 if unit in ('"', "′′", "arcsec") else 1.0
    low, high, bare = _range(match, lambda digits: float(digits) * times)
    return _set(min_size_arcmin=low if bare is None else bare, max_size_arcmin=high)


def _magnitude(match: re.Match[str]) -> dict[str, Any]:
    low, high, bare = _range(match, float)
    return _set(brightest_mag=low, faintest_mag=high if bare is None else bare)


def _filter(match: re.Match[str]) -> dict[str, Any]:
    if match["one"] is not None:
        return {"sky_share": _percent(match["one"])}
    return {"sky_share": NARROWBAND_SKY_SHARE if match[0].startswith("narrow") else 1.0}


_READ: dict[str, _Reader] = {
    "hours": _hours,
    "altitude": _one("min_altitude_deg"),
    "moonlight": _one("max_moonlight_mag"),
    "moon": _one("min_moon_separation_deg"),
    "sun": _one("min_sun_separation_deg"),
    "fill": _fill,
    "size": _size,
    "surface": _one("faintest_surface_mag_arcsec2"),
    "magnitude": _magnitude,
    "filter": _filter,
}


def _not_understood(rest: str) -> str:
    """Why a part of the line cannot be read, with the word that may have been meant."""
    part = rest.split(",")[0].strip().removeprefix("in ")
    shown = clean(part, longest=40)
    first = part.split()[0]
    if re.fullmatch(_NUMBER, first):
        return (
            f"{shown!r} is a number without a meaning: write {first} h, above {first}, mag {first}"
        )
    if first in _EXAMPLES:
        return f"{shown!r} cannot be read: write it like {_EXAMPLES[first]}"
    known = (*_EXAMPLES, *kind_words(), *constellation_words())
    near = [
        word for typed in (part, first) for word in difflib.get_close_matches(typed, known, 1, 0.7)
    ]
    if near:
        return f"{shown!r} is not understood: is it {near[0]!r}?"
    return f"{shown!r} is not understood: write as in {LIMITS_HELP}"
