"""Threads, barrels and push fits: reading them, and whether two of them mate.

Sizes are standards: ISO metric threads (diameter x pitch), inch threads by turns an inch, and the
push fits of 0.965, 1.25 and 2 inch (24.5, 31.75, 50.8 mm).
"""

import re
from dataclasses import dataclass, replace

from logbook.errors import BadInput
from logbook.text import clean, fold

MM_PER_INCH = 25.4  # exact, by definition

METRIC, INCH, PUSH, BAYONET, CLAMP, NONE = "metric", "inch", "push", "bayonet", "clamp", "none"
MATES, NOT_KNOWN, NO_MATE = "mates", "not known", "does not mate"

EXAMPLES = 'M42x0.75 male, M48x0.75 female, 2"-24 tpi, 1.25" male, 50.8 mm, bayonet, clamp, none'

_GENDERS = {
    "male": "male", "m": "male", "outside": "male", "outer": "male", "external": "male",
    "nosepiece": "male", "female": "female", "f": "female", "inside": "female",
    "inner": "female", "internal": "female", "socket": "female",
}  # fmt: skip
_BY_NAME = {  # words of the trade for standard threads
    "t": "m42x0.75", "t2": "m42x0.75", "t thread": "m42x0.75", "t2 thread": "m42x0.75",
    "sc": '2"-24', "sc thread": '2"-24',
}  # fmt: skip
_PUSH_FITS_MM = {24.5: '0.965"', 31.75: '1.25"', 50.8: '2"', 68.58: '2.7"', 76.2: '3"', 101.6: '4"'}

_NUMBER = r"[0-9]*[.,]?[0-9]+"
_METRIC = re.compile(
    rf"m\s*(?P<diameter>{_NUMBER})(?:\s*(?:[x×*/-]|by)\s*(?P<pitch>{_NUMBER}))?(?:\s*mm)?"
)
_SIZE_IN = (
    rf"(?P<whole>[0-9]+\s+(?=[0-9]/))?(?P<size>{_NUMBER}|[0-9]+/[0-9]+)\s*(?:\"|″|”|''|in(?:ch)?)"
)
_INCH = re.compile(rf"{_SIZE_IN}\s*[-–x×*/]?\s*(?P<turns>[0-9]{{1,2}})\s*(?:tpi|turns)?")
_PUSH_IN = re.compile(_SIZE_IN)
_PUSH_MM = re.compile(rf"(?P<size>{_NUMBER})\s*(?:mm)?")
_PUSH_WORDS = re.compile(r"\b(?:push ?-?fit|barrel|nosepiece|slip ?-?fit)\b")


@dataclass(frozen=True, slots=True)
class Thread:
    """One end of a part. pitch_mm is None for a push fit and where only the diameter is known;
    `gender` is male, female or empty; `name` is the bayonet's or clamp's."""

    sort: str
    diameter_mm: float = 0.0
    pitch_mm: float | None = None
    gender: str = ""
    name: str = ""

    @property
    def size(self) -> str:
        """Canonical spelling without the gender."""
        if self.sort == METRIC:
            pitch = "" if self.pitch_mm is None else f"x{self.pitch_mm:g}"
            return f"M{self.diameter_mm:g}{pitch}"
        if self.sort == INCH:
            turns = MM_PER_INCH / (self.pitch_mm or MM_PER_INCH)
            return f'{self.diameter_mm / MM_PER_INCH:.4g}"-{turns:.0f} tpi'
        if self.sort == PUSH:
            inches = _PUSH_FITS_MM.get(self.diameter_mm)
            return f"{inches or f'{self.diameter_mm:g} mm'} push fit"
        return f"{self.sort} {self.name}".strip()

    @property
    def shown(self) -> str:
        """The size and the gender, as shown in lists."""
        return f"{self.size} {self.gender}".strip()

    @property
    def partner(self) -> "Thread":
        """What would mate with it."""
        other = {"male": "female", "female": "male"}.get(self.gender, "")
        return replace(self, gender=other)


def read_thread(typed: str) -> Thread:
    """A thread as people write it. Raises BadInput for what is none, with examples."""
    text = fold(clean(typed, longest=200)).replace("(", " ").replace(")", " ")
    said = re.split(r",?\s+", text.strip(" ,"))
    genders = {_GENDERS[word] for word in said if word in _GENDERS}
    size = " ".join(word for word in said if word not in _GENDERS or word == "nosepiece")
    size = size.replace("-thread", " thread")
    thread = _read(_BY_NAME.get(size, size))
    if thread is None or len(genders) > 1:
        raise BadInput(f"{clean(typed, longest=24)} is no thread known here: {EXAMPLES}")
    return thread if thread.sort == NONE else replace(thread, gender="".join(genders))


def _read(text: str) -> Thread | None:
    if text == NONE:
        return Thread(NONE)
    for sort in (BAYONET, CLAMP):
        if text == sort or text.startswith(f"{sort} "):
            return Thread(sort, name=text.removeprefix(sort).strip())
    size = _PUSH_WORDS.sub(" ", text).strip()
    if size == text:
        screwed = _metric(text) or _inch(text)
        if screwed is not None:
            return screwed
    return _push(size, said=size != text)


def _metric(text: str) -> Thread | None:
    found = _METRIC.fullmatch(text)
    if found is None:
        return None
    diameter_mm = _number(found["diameter"])
    pitch_mm = None if found["pitch"] is None else _number(found["pitch"])
    if not 1.0 <= diameter_mm <= 300.0 or not 0.2 <= (pitch_mm or 1.0) <= 6.0:
        return None
    return Thread(METRIC, diameter_mm, pitch_mm)


def _inch(text: str) -> Thread | None:
    found = _INCH.fullmatch(text)
    if found is None:
        return None
    diameter_mm, turns = _inches_mm(found), int(found["turns"])
    if not 1.0 <= diameter_mm <= 300.0 or not 4 <= turns <= 80:
        return None
    return Thread(INCH, diameter_mm, MM_PER_INCH / turns)


def _push(text: str, *, said: bool) -> Thread | None:
    """A push fit of a standard size; of another size only where it was stated to be one."""
    inches, metric = _PUSH_IN.fullmatch(text), _PUSH_MM.fullmatch(text)
    if inches is not None:
        diameter_mm = _inches_mm(inches)
    elif metric is not None:
        diameter_mm = _number(metric["size"])
    else:
        return None
    for standard_mm in _PUSH_FITS_MM:
        if abs(standard_mm - diameter_mm) <= 0.1:
            return Thread(PUSH, standard_mm)
    return Thread(PUSH, diameter_mm) if said and 5.0 <= diameter_mm <= 300.0 else None


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _inches_mm(found: re.Match[str]) -> float:
    size = found["size"]
    above, _, below = size.partition("/")
    if below and int(below) == 0:
        return 0.0
    inches = int(above) / int(below) if below else _number(size)
    return round((inches + int(found["whole"] or 0)) * MM_PER_INCH, 6)


@dataclass(frozen=True, slots=True)
class Fit:
    """Whether two ends mate (MATES, NOT_KNOWN, NO_MATE), and why."""

    verdict: str
    why: str


def fit(above: Thread | None, below: Thread | None) -> Fit:
    """Whether the eye side of one part takes the sky side of the next."""
    if above is None or below is None:
        sides = [side for side, end in (("sky", above), ("eye", below)) if end is None]
        return Fit(NOT_KNOWN, f"the thread on the {' and '.join(sides)} side is not known")
    pair = f"{above.shown} and {below.shown}"
    if NONE in (above.sort, below.sort):
        return Fit(NOT_KNOWN if above.sort == below.sort else NO_MATE, f"{pair}: nothing to screw")
    if CLAMP in (above.sort, below.sort):
        return Fit(NOT_KNOWN, f"{pair}: try whether the clamp takes it")
    if above.sort != below.sort:
        return Fit(NO_MATE, f"{pair} are of different sorts")
    return _same_sort(above, below, pair)


def _same_sort(above: Thread, below: Thread, pair: str) -> Fit:
    if abs(above.diameter_mm - below.diameter_mm) > 0.05 or above.name != below.name:
        return Fit(NO_MATE, f"{pair} differ in size")
    if above.sort == METRIC and None in (above.pitch_mm, below.pitch_mm):
        return Fit(NOT_KNOWN, f"{pair}: the pitch is not known, so try before turning")
    if abs((above.pitch_mm or 0.0) - (below.pitch_mm or 0.0)) > 1e-6:
        return Fit(
            NO_MATE,
            f"{pair} differ in pitch: the one starts in the other and jams; never force it",
        )
    if not above.gender or not below.gender:
        return Fit(NOT_KNOWN, f"{pair} are of one size; which is male and which female is not said")
    if above.gender == below.gender:
        return Fit(NO_MATE, f"{pair} are both {above.gender}")
    return Fit(MATES, f"{above.size}, {above.gender} on the sky side")


def screws(*ends: Thread) -> bool:
    """Whether enough is known of every end to decide what it mates with."""
    return all(fit(each, each.partner).verdict == MATES for each in ends)
