"""Conditions and readings: a word for what was measured, a number, a unit if it is another.

Several may follow each other in one line: `seeing 3/5 cloud 20% wind 3 m/s air 4.2 humidity 81`.
"""

import re
from dataclasses import dataclass, field, replace

from logbook.entryline.context import Explained, Line, NotThis, Parsed, Unclear
from logbook.entryline.seeing_scales import scale_words
from logbook.entryline.tokens import NUMBER, Scan, in_range, nearest, number, refuse_two_ways
from logbook.entryline.values import READERS, VALUE, Read, temperature
from logbook.records.check_entry import label_and_unit
from logbook.records.entries import READING_RANGES

_FLAGS = re.IGNORECASE

# Each word for what is measured, and the reader of its value.
WORDS: dict[str, str] = {
    "seeing": "seeing",
    "transparency": "transparency", "transp": "transparency",
    "cloud": "cloud", "clouds": "cloud", "cloudy": "cloud", "overcast": "cloud", "clear": "cloud",
    "cirrus": "cloud", "no cloud": "cloud", "no clouds": "cloud",
    "wind": "wind", "breeze": "wind", "calm": "wind", "no wind": "wind",
    "dew": "dew", "dewpoint": "dew", "dew point": "dew",
    "air": "air", "temperature": "air", "temp": "air", "outside": "air",
    "ambient": "air",
    "mirror": "mirror", "primary": "mirror",
    "tube": "tube",
    "sensor": "sensor", "chip": "sensor",
    "humidity": "humidity", "hum": "humidity", "rh": "humidity",
    "pressure": "pressure", "barometer": "pressure",
    "sky": "sky", "sky brightness": "sky",
    "limit": "limit", "limiting magnitude": "limit", "faintest": "limit",
    "fwhm": "fwhm",
    "guiding": "guiding",
    "drift": "drift",
    "focus": "focus", "focused": "focus", "focussed": "focus", "refocus": "focus",
    "refocused": "focus", "autofocus": "focus",
}  # fmt: skip
FIRST_WORDS = tuple(WORDS)
_ONE_WORD = tuple(word for word in WORDS if " " not in word)
_VALUES_THEMSELVES = frozenset({"overcast", "clear", "calm", "no wind", "no cloud", "no clouds"})
_KINDS = {
    **dict.fromkeys(("seeing", "transparency", "cloud", "wind", "dew"), "conditions"),
    **dict.fromkeys(("guiding", "drift"), "guiding"),
    "focus": "focus",
}
_JUDGED = ("seeing", "transparency", "cloud", "wind")

_WORD = re.compile(r"[\s,:=~.&+()!?'\"]*([^\W\d_]+(?:'[a-z]+)?)", _FLAGS)
_DIGITS = re.compile(rf"[^\w.+-]*({NUMBER}\S*)")
_GLUED = re.compile(r"[a-z%\"]+", _FLAGS)
_FILLERS = frozenset({"and", "is", "are", "was", "now", "at", "of", "the", "temp", "temperature"})

_HOW_MUCH = {
    "seeing": 'seeing: 1 to 5 (5 is best), pickering 1 to 10, antoniadi I to V, or 2.1".',
    "transparency": "transparency: 1 to 5, 5 is best.",
    "wind": "wind: how much? wind 3 m/s (also km/h, mph, knots, force 3, calm).",
    "air": "air: how many °C? air 4.2 (or 39F).",
    "mirror": "mirror: how many °C? mirror 7.9 (or 46F).",
    "tube": "tube: how many °C? tube 5.1.",
    "sensor": "sensor: how many °C? sensor -10.",
    "humidity": "humidity: how many per cent? humidity 81.",
    "pressure": "pressure: how many hPa? pressure 1003.",
    "sky": "sky: how many magnitudes a square arcsecond? sky 21.2.",
    "limit": "limit: which magnitude was the faintest star? limit 5.8.",
    "fwhm": "fwhm: how many arcseconds? fwhm 2.3.",
}
_NEVER_IN_WORDS = frozenset({"humidity", "pressure", "limit", "fwhm", "sensor"})


@dataclass(slots=True)
class _Found:
    """What was gathered so far, left to right."""

    readings: dict[str, float] = field(default_factory=dict)
    remarks: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)

    def add(self, read: Read) -> None:
        quantity, value = read
        label, unit = label_and_unit(quantity)
        if quantity in self.readings:
            raise Unclear(f"{label} is given twice in this line: log one of them apart.")
        low, high = READING_RANGES[quantity]
        self.readings[quantity] = round(in_range(value, label, low, high, f" {unit}".rstrip()), 3)
        meant = scale_words(quantity, value)
        if meant:
            self.remarks.append(Explained(meant))

    def add_word(self, word: str) -> None:
        if word.casefold() not in _FILLERS:
            self.words.append(word)


def measures(line: Line) -> Parsed:
    """Read a line that begins with what was measured. Raises Unclear, NotThis for plain talk."""
    refuse_two_ways(line.rest)
    quantity = WORDS[line.word]
    kind = _KINDS.get(quantity, "reading")
    found = _gather(f"{line.word} {line.rest}")
    entry = line.entry(kind)
    if found.readings:
        if kind == "reading" and all(name.startswith(_JUDGED) for name in found.readings):
            entry = replace(entry, kind="conditions")
        entry = replace(entry, readings=tuple(found.readings.items()))
        return Parsed(entry, (*found.remarks, *_kept_words(found)))
    if kind in ("guiding", "focus"):
        return Parsed(entry, ("in words only",) if found.words[1:] else ())
    alone = [word.casefold() for word in found.words] == [line.word]
    if quantity in _NEVER_IN_WORDS and found.words[1:]:
        raise NotThis  # plain talk: limit switch hit
    if quantity in _NEVER_IN_WORDS or (alone and quantity in _HOW_MUCH) or not found.words:
        raise Unclear(_HOW_MUCH[quantity])
    return Parsed(replace(entry, kind="conditions"), () if alone else ("in words only",))


def _kept_words(found: _Found) -> tuple[str, ...]:
    return (f"in words: {' '.join(found.words)}",) if found.words else ()


def leftover_words(plain_text: str) -> str:
    """The words of a line of measures that no reading stands for."""
    try:
        return " ".join(_gather(plain_text).words)
    except Unclear:
        return ""


def _gather(text: str) -> _Found:
    """Every reading of a line. A number that belongs to nothing raises Unclear."""
    scan = Scan(text)
    found = _Found()
    beside_focus = False
    while not scan.ended:
        quantity = _take_quantity(scan, found)
        if quantity is not None:
            beside_focus = beside_focus or quantity == "focus"
            _read_value(scan, quantity, found)
        elif not (beside_focus and _read_temperature_alone(scan, found)):
            _take_other(scan, found)
    return found


def _take_quantity(scan: Scan, found: _Found) -> str | None:
    """The word for what is measured, if one stands here."""
    start = scan.at
    first = scan.take(_WORD)
    if first is None:
        return None
    second = _WORD.match(scan.text, scan.at)
    pair = f"{first[1]} {second[1]}".casefold() if second else ""
    if second and pair in WORDS:
        scan.at = first.start(1) if pair in _VALUES_THEMSELVES else second.end()
        return pair
    word = first[1].casefold()
    if word in WORDS:
        if word in _VALUES_THEMSELVES:  # the reader sees the value in the word itself
            scan.at = first.start(1)
        return word
    misspelt = nearest(word, _ONE_WORD)
    if misspelt is not None and VALUE.match(scan.text, scan.at):
        found.remarks.append(f"read {first[1]} as {misspelt}")
        return misspelt
    scan.at = start
    return None


def _read_value(scan: Scan, word: str, found: _Found) -> None:
    start = scan.at
    read = READERS[WORDS[word]](scan, found.remarks)
    if read is None:
        scan.at = start + (len(word) if word in _VALUES_THEMSELVES else 0)
        found.add_word(word)
        return
    glued = _GLUED.match(scan.text, scan.at)
    if glued and scan.text[scan.at - 1].isdigit():
        raise Unclear(f"the unit {glued.group()[:12]} is not known there: leave it out, or see F1.")
    found.add(read)


def _read_temperature_alone(scan: Scan, found: _Found) -> bool:
    """`focus 12345 at 4.2C`: a temperature beside a focus is the air's."""
    start = scan.at
    value = scan.take(VALUE)
    if value is not None:
        celsius = temperature(scan, number(value[1]), found.remarks, unit_wanted=True)
        if celsius is not None:
            found.add(("air_temperature_c", celsius))
            return True
    scan.at = start
    return False


def _take_other(scan: Scan, found: _Found) -> None:
    word = scan.take(_WORD)
    if word is not None:
        found.add_word(word[1])
        return
    digits = _DIGITS.match(scan.text, scan.at)
    if digits:
        piece = digits[1][:16]
        raise Unclear(
            f"what is {piece}? Say first what it measures, as in air {piece}. "
            "A remark goes after a semicolon."
        )
    scan.at += 1
