"""The joints of a train, and what from the shelf would make one mate."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from logbook.errors import BadInput
from logbook.kit.parts.part import Part, Train
from logbook.kit.parts.threads import MATES, NO_MATE, NONE, Thread, fit, read_thread

_BETWEEN = ("adapter", "extension ring")
_MOST_BETWEEN = 3  # parts in one fix
_MOST_FIXES = 3


@dataclass(frozen=True, slots=True)
class Fix:
    """Parts of the shelf that go between, from the sky, and what they add to the length."""

    parts: tuple[str, ...]
    adds_mm: float | None
    words: str


@dataclass(frozen=True, slots=True)
class Joint:
    """Where one part meets the next. Ends are empty where not known.

    wanted -- for a joint that does not mate: the adapter that would do, to look for or to buy.
    """

    above: str
    below: str
    above_end: str
    below_end: str
    verdict: str
    why: str
    fixes: tuple[Fix, ...] = ()
    wanted: str = ""


def end(part: Part, quantity: str) -> Thread | None:
    """A thread of a part; None where it is not known or no thread at all was written."""
    try:
        return read_thread(part.word(quantity) or "")
    except BadInput:
        return None


@dataclass(frozen=True, slots=True)
class _Between:
    """A part that leads from one thread to another one."""

    part: Part
    sky: Thread
    eye: Thread


def joints(train: Train, shelf: Sequence[Part] = ()) -> tuple[Joint, ...]:
    """Every joint of the light path. A filter without threads sits inside its neighbour."""
    row = [part for part in train.parts if not _inside(part)]
    spare = _spare(train, shelf)
    return tuple(_joint(above, below, spare) for above, below in pairwise(row))


def _inside(part: Part) -> bool:
    ends = (end(part, "sky_side_thread"), end(part, "eye_side_thread"))
    return part.kind == "filter" and all(each is None or each.sort == NONE for each in ends)


def _spare(train: Train, shelf: Sequence[Part]) -> tuple[_Between, ...]:
    """Owned parts outside the train that change the thread; a plain ring would mend nothing."""
    taken = {part.name for part in train.parts}
    found = []
    for part in shelf:
        if part.kind not in _BETWEEN or part.state != "owned" or part.name in taken:
            continue
        sky, eye = end(part, "sky_side_thread"), end(part, "eye_side_thread")
        if sky is not None and eye is not None and sky != eye.partner:
            found.append(_Between(part, sky, eye))
    return tuple(found)


def _joint(above: Part, below: Part, spare: Sequence[_Between]) -> Joint:
    sky, eye = end(above, "eye_side_thread"), end(below, "sky_side_thread")
    found = fit(sky, eye)
    shown = ("" if sky is None else sky.shown, "" if eye is None else eye.shown)
    fixes: tuple[Fix, ...] = ()
    wanted = ""
    if found.verdict == NO_MATE and sky is not None and eye is not None:
        fixes = _fixes(sky, eye, spare)
        wanted = f"an adapter from {sky.partner.shown} to {eye.partner.shown}"
    return Joint(above.name, below.name, *shown, found.verdict, found.why, fixes, wanted)


def _fixes(sky: Thread, eye: Thread, spare: Sequence[_Between]) -> tuple[Fix, ...]:
    """Fewest parts first, then the shortest; longer chains only where no shorter one is there."""
    for count in range(1, _MOST_BETWEEN + 1):
        found = [_fix(chain) for chain in _chains(sky, eye, spare, count)]
        if found:
            found.sort(key=lambda fix: (fix.adds_mm is None, fix.adds_mm or 0.0, fix.parts))
            return tuple(found[:_MOST_FIXES])
    return ()


def _chains(
    sky: Thread, eye: Thread, spare: Sequence[_Between], count: int
) -> Iterator[tuple[Part, ...]]:
    if count == 0:
        if fit(sky, eye).verdict == MATES:
            yield ()
        return
    for each in spare:
        if fit(sky, each.sky).verdict == MATES:
            rest = [other for other in spare if other is not each]
            for chain in _chains(each.eye, eye, rest, count - 1):
                yield (each.part, *chain)


def _fix(chain: tuple[Part, ...]) -> Fix:
    lengths = [part.possible("optical_length_mm") for part in chain]
    known = [length_mm for length_mm in lengths if length_mm is not None]
    adds_mm = sum(known) if len(known) == len(lengths) else None
    names = tuple(part.name for part in chain)
    adds = "its length is not known" if adds_mm is None else f"{adds_mm:.1f} mm longer"
    return Fix(names, adds_mm, f"{' + '.join(names)} between them would fit ({adds})")
