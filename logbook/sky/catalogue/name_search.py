"""Finding an object by any usual name, as one types.

Names and what is typed are brought to one form ("γ Cas", "gam cas" and "Gamma Cassiopeiae" all
become "gamma cas"), then compared: the same first, then names that begin so, then a word of the
name, then any part of it, and only when nothing fits, names that look alike.
"""

import csv
import difflib
import re
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from math import log10
from typing import TYPE_CHECKING

from logbook.errors import NotFound
from logbook.text import clean, fold

if TYPE_CHECKING:
    from logbook.sky.catalogue.objects import Catalogue, SkyObject

LONGEST_TYPED = 80
ALIKE = 0.7  # difflib ratio; lower ones look like nothing a person meant
PLANETS = ("Mercury", "Venus", "Mars", "Jupiter", "Saturn", "Uranus", "Neptune")

GREEK = {
    "α": "alpha",
    "β": "beta",
    "γ": "gamma",
    "δ": "delta",
    "ε": "epsilon",
    "ζ": "zeta",
    "η": "eta",
    "θ": "theta",
    "ι": "iota",
    "κ": "kappa",
    "λ": "lambda",
    "μ": "mu",
    "ν": "nu",
    "ξ": "xi",
    "ο": "omicron",
    "π": "pi",
    "ρ": "rho",
    "σ": "sigma",
    "ς": "sigma",
    "τ": "tau",
    "υ": "upsilon",
    "φ": "phi",
    "χ": "chi",
    "ψ": "psi",
    "ω": "omega",
}
# The three-letter forms of the star catalogues ("gam"), and two spellings people use.
LETTERS = {name[:3]: name for name in GREEK.values()} | {"alf": "alpha", "ksi": "xi"}
LETTERS |= {name: name for name in GREEK.values()}
# A catalogue's full name stands for its short one before a number.
CATALOGUES = {
    "messier": "m",
    "caldwell": "c",
    "barnard": "b",
    "collinder": "cr",
    "melotte": "mel",
    "sharpless": "sh",
    "lynds": "ldn",
    "hickson": "hcg",
    "trumpler": "tr",
    "hipparcos": "hip",
}
GENERAL_WORDS = {"nebula", "galaxy", "galaxies", "cluster", "star"}

_WORDS = re.compile(r"[a-z]+|\d+")
_INDEX = re.compile(r"(?<=[a-z]) \d+(?= [a-z]{3}$)")
_PLAIN_NUMBER = re.compile(r"(?:NGC|IC|UGC|HD|HIP|LBN|LDN|RCW|PGC|B|C|M|Cr|Mel|vdB) [1-9]\d*[A-Z]?")


@dataclass(frozen=True, slots=True)
class Entry:
    """One object to be found. The smaller `rank`, the earlier it is offered among equals."""

    id: str
    shown: str
    kind: str
    names: tuple[str, ...]
    rank: float


@dataclass(frozen=True, slots=True)
class Found:
    """An object that fits what was typed. `matched` is the name that fitted, as it is written."""

    id: str
    shown: str
    matched: str
    kind: str


class Finder:
    """Finds objects among entries. Build it once: it takes some tenths of a second."""

    def __init__(self, entries: Iterable[Entry], look_up: Callable[[str], "SkyObject"]) -> None:
        self._look_up = look_up
        self._names: list[tuple[Entry, str]] = []
        self._exact: dict[str, list[int]] = {}
        keys: list[str] = []
        for entry in sorted(entries, key=lambda entry: (entry.rank, entry.id)):
            for name in entry.names:
                for key in _keys(name):
                    self._exact.setdefault(key.replace(" ", ""), []).append(len(self._names))
                    self._names.append((entry, name))
                    keys.append(key)
        # One text a line each lets the search run at the speed of str.find; the lines are in
        # the order of rank, so that the first ones found are the best ones.
        self._words = _Lines(f" {key}" for key in keys)
        self._closed = _Lines(key.replace(" ", "") for key in keys)
        self._named = self._common_names(keys)

    def find(self, typed: str, limit: int = 10) -> list[Found]:
        """Return what fits best, best first, each object once; nothing for nothing typed."""
        key = normalise(typed, unfinished=True)
        if not key:
            return []
        hits = self._once(self._fitting(key), limit)
        return hits or self._once(self._alike(key), limit)

    def named(self, typed: str) -> Found:
        """Return the one object that is called so, the most prominent of several.

        "Horsehead" is enough for "Horsehead Nebula". Raises NotFound with close names.
        """
        closed = normalise(typed).replace(" ", "")
        for hit in self._once(self._exact.get(closed, ()), 1):
            return hit
        for hit in self._once(self._named.get(closed, ()), 1):
            return hit
        raise NotFound(self._unknown(typed))

    def exact(self, typed: str) -> "SkyObject":
        """Return the one object that is called so; raises NotFound with close names."""
        return self._look_up(self.named(typed).id)

    def _fitting(self, key: str) -> Iterator[int]:
        """Yield name numbers: the same, beginning so, a word beginning so, any part."""
        closed = key.replace(" ", "")
        yield from self._exact.get(closed, ())
        yield from self._closed.starting(closed)
        yield from self._words.holding(f" {key}")
        if len(closed) > 2:
            yield from self._closed.holding(closed)

    def _alike(self, key: str) -> Iterator[int]:
        """Yield the numbers of common names that look like what was typed."""
        closed = _without_general_words(key).replace(" ", "")
        for name in difflib.get_close_matches(closed, self._named, n=8, cutoff=ALIKE):
            yield from self._named[name]

    def _once(self, numbers: Iterable[int], limit: int) -> list[Found]:
        found: dict[str, Found] = {}
        for number in numbers:
            if len(found) >= limit:
                break
            entry, name = self._names[number]
            if entry.id not in found:
                found[entry.id] = Found(entry.id, entry.shown, name, entry.kind)
        return list(found.values())

    def _common_names(self, keys: Sequence[str]) -> dict[str, list[int]]:
        """Return the numbers of names that are words, by the name without "nebula" and so on."""
        named: dict[str, list[int]] = {}
        for number, key in enumerate(keys):
            if _is_a_name(self._names[number][1], key):
                short = _without_general_words(key).replace(" ", "")
                named.setdefault(short, []).append(number)
        return named

    def _unknown(self, typed: str) -> str:
        shown = clean(typed, longest=40)
        if not shown:
            return "Give the name or the number of an object, such as M 31 or Horsehead."
        close = [hit.shown for hit in self.find(typed, limit=3)]
        if not close:
            return f"No object called '{shown}'."
        *others, last = close
        choice = f"{', '.join(others)} or {last}" if others else last
        return f"No object called '{shown}'. Did you mean {choice}?"


class _Lines:
    """Many short texts in one, for searching them all at once; they are numbered from 0."""

    def __init__(self, lines: Iterable[str]) -> None:
        self._text = "\n"
        self._starts: list[int] = []
        parts = ["\n"]
        length = 1
        for line in lines:
            self._starts.append(length)
            parts.append(f"{line}\n")
            length += len(line) + 1
        self._text = "".join(parts)

    def starting(self, part: str) -> Iterator[int]:
        """Yield the numbers of the lines that begin with `part`."""
        return self.holding(f"\n{part}")

    def holding(self, part: str) -> Iterator[int]:
        """Yield the numbers of the lines that hold `part`, each once."""
        at = self._text.find(part)
        while at >= 0:
            # One on, because a leading line end belongs to the line before.
            yield bisect_right(self._starts, at + 1) - 1
            end = self._text.find("\n", at + 1)
            at = self._text.find(part, max(end, at + 1))


def normalise(typed: str, *, unfinished: bool = False) -> str:
    """Return a name in the one form for comparing: lower-case words and numbers, single spaces.

    With `unfinished` the last word may still be growing ("gamma cass" is "gamma cas").
    """
    text = fold(clean(typed[: 4 * LONGEST_TYPED], longest=LONGEST_TYPED))
    text = text.replace("'", "").replace("’", "")
    for sign, name in GREEK.items():
        text = text.replace(sign, f" {name} ")
    words = [word.lstrip("0") or "0" if word.isdigit() else word for word in _WORDS.findall(text)]
    while words[:1] == ["the"]:
        words = words[1:]
    return " ".join(_star_letter(_catalogue_words(words), unfinished))


def _catalogue_words(words: list[str]) -> list[str]:
    if len(words) < 2 or not words[1].isdigit():
        return words
    first = CATALOGUES.get(words[0], words[0])
    if first == "sh" and len(words) == 2 and words[1] != "2":
        return ["sh", "2", words[1]]
    return [first, *words[1:]]


def _star_letter(words: list[str], unfinished: bool) -> list[str]:
    """Write the letter in full and the constellation short: "gam 2 andromedae", "45 tauri"."""
    second = 2 if len(words) > 2 and words[1].isdigit() and not words[0].isdigit() else 1
    rest = words[second:]
    if not rest or not _may_be_a_letter(words[0]):
        return words
    for count in (2, 1):
        short = _constellation(" ".join(rest[:count]), unfinished and len(rest) <= count)
        if short and len(rest) >= count:
            letter = LETTERS.get(words[0], words[0])
            return [letter, *words[1:second], short, *rest[count:]]
    return words


def _may_be_a_letter(word: str) -> bool:
    """Whether a star of a constellation may be called so: "gam", "h", "61"."""
    return word in LETTERS or len(word) == 1 or (word.isdigit() and len(word) <= 3)


def _constellation(text: str, unfinished: bool) -> str:
    """Return the three letters of a constellation, or "" if `text` is none."""
    forms = _constellations()
    if text in forms:
        return forms[text]
    if not unfinished or len(text) < 3:
        return ""
    growing = {short for form, short in forms.items() if form.startswith(text)}
    return growing.pop() if len(growing) == 1 else ""


@cache
def _constellations() -> dict[str, str]:
    """Return the short form by every form: short, name and genitive, all folded."""
    text = resources.files("logbook").joinpath("data", "constellations.csv").read_text("utf-8")
    return {
        fold(form): row["abbreviation"].casefold()
        for row in csv.DictReader(text.splitlines())
        for form in row.values()
    }


def _keys(name: str) -> tuple[str, ...]:
    """Return the normal forms of a name: "Bode's" also as "bode", "γ1 And" also as "gamma and"."""
    if _PLAIN_NUMBER.fullmatch(name):
        return (name.lower(),)
    key = normalise(name)
    if "'s" in name:
        return key, normalise(name.replace("'s", ""))
    if name[0] in GREEK and " " in name:
        return tuple(dict.fromkeys((key, _INDEX.sub("", key))))
    return (key,)


def _without_general_words(key: str) -> str:
    words = [word for word in key.split() if word not in GENERAL_WORDS]
    return " ".join(words) or key


def _is_a_name(name: str, key: str) -> bool:
    """Whether it is words, not numbers and letters: neither "NGC 7000" nor "γ Cas" is a name."""
    return name[0] not in GREEK and any(len(word) > 3 for word in re.findall("[a-z]+", key))


@cache
def finder() -> Finder:
    """Return the finder over deep sky, bright stars, the Moon and the planets.

    The Moon and the planets are found by name only: `exact` raises NotFound for them.
    """
    entries = [_entry(thing) for catalogue in _catalogues() for thing in catalogue]
    entries += [Entry(name, name, "planet", (name,), -5.0) for name in PLANETS]
    entries += [Entry("Moon", "Moon", "moon", ("Moon",), -6.0)]
    return Finder(entries, _look_up)


def _catalogues() -> "tuple[Catalogue, Catalogue]":
    """Deep sky and bright stars; with numpy, so imported when a name is first looked up."""
    from logbook.sky.catalogue.objects import bright_stars, deep_sky

    return deep_sky(), bright_stars()


def _look_up(identifier: str) -> "SkyObject":
    if identifier == "Moon" or identifier in PLANETS:
        raise NotFound(f"{identifier} moves among the stars and has no place in the catalogue.")
    deep_sky, bright_stars = _catalogues()
    catalogue = bright_stars if identifier.startswith("HIP ") else deep_sky
    return catalogue.at(catalogue.index_of(identifier))


def _entry(thing: "SkyObject") -> Entry:
    names = tuple(dict.fromkeys((thing.name, thing.id, *thing.aliases)))
    return Entry(thing.id, thing.title, thing.kind, names, _rank(thing))


def _rank(thing: "SkyObject") -> float:
    """Return a magnitude-like number: what people ask for most often comes first."""
    named = thing.name not in (thing.id, thing.designation)
    if thing.kind == "star":
        return (thing.magnitude or 6.0) + (-2.0 if named else 3.0)
    faint = 16.0 if thing.magnitude is None else thing.magnitude
    rank = min(faint, _as_large(thing)) - (2.0 if named else 0.0)
    rank -= 3.0 if thing.designation.startswith("M ") else 0.0
    return rank - (2.0 if any(re.fullmatch(r"C \d+", name) for name in thing.aliases) else 0.0)


def _as_large(thing: "SkyObject") -> float:
    """Return a magnitude's worth of a nebula's size: few nebulae have a magnitude."""
    if "nebula" not in thing.kind and thing.kind not in ("HII region", "supernova remnant"):
        return 16.0
    dark = 4.0 if thing.kind == "dark nebula" else 0.0
    return 9.0 + dark - 3.0 * log10(max(thing.major_arcmin or 1.0, 0.1))
