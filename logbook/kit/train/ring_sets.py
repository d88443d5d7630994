"""Which owned rings come nearest to a wanted length: every set of them is looked at.

The rings are halved; the sums of each half's sets are sorted, and for each sum of one half the
nearest of the other are looked up. Twenty-four rings have 17 million sets and halves of 4096.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from logbook.errors import BadInput
from logbook.kit.parts.threads import Thread, screws

MOST_RINGS = 30
TOLERANCE_MM = 0.5
_PER_MM = 10_000  # lengths are summed as whole tenths of a micrometre, so that sums are exact


@dataclass(frozen=True, slots=True)
class Ring:
    name: str
    length_mm: float
    sky: Thread | None = None
    eye: Thread | None = None


@dataclass(frozen=True, slots=True)
class RingAnswer:
    """One set of rings. off_mm: too long is positive. Where `fits_threads`, the rings are in the
    order from the sky in which they screw together; else in the order of the shelf."""

    rings: tuple[str, ...]
    length_mm: float
    off_mm: float
    within_tolerance: bool
    fits_threads: bool


class _Set(NamedTuple):
    """A set of rings: its sum, how many rings, which (as bits)."""

    total: int
    number: int
    bits: int


# What a set does to the threads: how often each size begins more often than it ends, and which
# kinds of ring are in it.
_Ways = tuple[frozenset[tuple[str, int]], frozenset[tuple[str, str]]]


def nearest_sets(
    rings: Sequence[Ring],
    wanted_mm: float,
    *,
    tolerance_mm: float = TOLERANCE_MM,
    most: int = 5,
    between: tuple[Thread, Thread] | None = None,
) -> tuple[RingAnswer, ...]:
    """The sets of rings whose length comes nearest, one for each length, fewest rings first.

    between -- the thread above and the thread below: then only sets that screw together between
    these two are looked at, and a ring of unknown thread is left out. A set screws together if
    its rings form one chain from the one thread to the other that uses each ring once (Euler's
    path: every thread size is left as often as it is entered, and all hang together).
    Raises BadInput for more than MOST_RINGS rings.
    """
    if len(rings) > MOST_RINGS:
        raise BadInput(f"{len(rings)} rings have too many sets: {MOST_RINGS} at most")
    chainable = _with_threads(rings) if between else [(ring, ("", "")) for ring in rings]
    target = round(wanted_mm * _PER_MM)
    middle = len(chainable) // 2
    one = _sets(chainable[:middle], 0, with_ways=between is not None)
    other = _sets(chainable[middle:], middle, with_ways=between is not None)
    best = _Best(target, most)
    for pair in _matching(one, other, between):
        _join(*pair, best)
    return tuple(_answer(each, chainable, target, tolerance_mm, between) for each in best.found())


class _Best:
    """The nearest sets so far, one for each sum; what is farther is passed over."""

    def __init__(self, target: int, most: int) -> None:
        self.target = target
        self.most = most
        self._by_total: dict[int, _Set] = {}
        self._farthest: int | None = None

    def offer(self, left: _Set, right: _Set) -> None:
        total = left.total + right.total
        if self._farthest is not None and abs(total - self.target) > self._farthest:
            return
        _keep(self._by_total, _Set(total, left.number + right.number, left.bits | right.bits))
        if len(self._by_total) >= 8 * self.most:
            kept = self.found()
            self._by_total = {each.total: each for each in kept}
            self._farthest = abs(kept[-1].total - self.target)

    def found(self) -> list[_Set]:
        return sorted(self._by_total.values(), key=self._rank)[: self.most]

    def _rank(self, each: _Set) -> tuple[int, int, int]:
        """Nearest first; of two as near the one of fewer rings, then the shorter one."""
        return abs(each.total - self.target), each.number, each.total


def _with_threads(rings: Sequence[Ring]) -> list[tuple[Ring, tuple[str, str]]]:
    """Rings with both ends known, each with the joints it needs above and offers below."""
    return [
        (ring, (_joint_above(ring.sky), _joint_below(ring.eye)))
        for ring in rings
        if ring.sky is not None and ring.eye is not None and screws(ring.sky, ring.eye)
    ]


def _joint_below(eye: Thread) -> str:
    return eye.shown


def _joint_above(sky: Thread) -> str:
    return sky.partner.shown


def _sets(
    rings: Sequence[tuple[Ring, tuple[str, str]]], first_bit: int, *, with_ways: bool
) -> dict[_Ways, list[_Set]]:
    """Every set of half the rings, by what it does to the threads; of one sum the fewest rings."""
    nothing: _Ways = (frozenset(), frozenset())
    found: dict[_Ways, dict[int, _Set]] = {nothing: {0: _Set(0, 0, 0)}}
    for place, (ring, way) in enumerate(rings):
        bit = 1 << (first_bit + place)
        length = round(ring.length_mm * _PER_MM)
        grown = {ways: dict(sets) for ways, sets in found.items()}
        for ways, sets in found.items():
            into = grown.setdefault(_step(ways, way) if with_ways else ways, {})
            for each in sets.values():
                _keep(into, _Set(each.total + length, each.number + 1, each.bits | bit))
        found = grown
    return {
        ways: sorted(sets.values(), key=lambda each: each.total) for ways, sets in found.items()
    }


def _keep(into: dict[int, _Set], each: _Set) -> None:
    there = into.get(each.total)
    if there is None or (each.number, each.bits) < (there.number, there.bits):
        into[each.total] = each


def _step(ways: _Ways, way: tuple[str, str]) -> _Ways:
    surplus = dict(ways[0])
    for joint, change in zip(way, (1, -1), strict=True):
        surplus[joint] = surplus.get(joint, 0) + change
    left = frozenset((joint, count) for joint, count in surplus.items() if count)
    return left, ways[1] | {way}


def _matching(
    one: dict[_Ways, list[_Set]],
    other: dict[_Ways, list[_Set]],
    between: tuple[Thread, Thread] | None,
) -> Iterator[tuple[list[_Set], list[_Set]]]:
    """Pairs of half sets that together make one chain; without threads every pair does."""
    if between is None:
        yield from ((left, right) for left in one.values() for right in other.values())
        return
    start, finish = _joint_below(between[0]), _joint_above(between[1])
    wanted = {} if start == finish else {start: 1, finish: -1}
    by_surplus: dict[frozenset[tuple[str, int]], list[_Ways]] = {}
    for ways in other:
        by_surplus.setdefault(ways[0], []).append(ways)
    for ways, left in one.items():
        for match in by_surplus.get(_missing(wanted, ways[0]), ()):
            if _hangs_together(ways[1] | match[1], start):
                yield left, other[match]


def _missing(
    wanted: dict[str, int], there: frozenset[tuple[str, int]]
) -> frozenset[tuple[str, int]]:
    left = dict(wanted)
    for joint, count in there:
        left[joint] = left.get(joint, 0) - count
    return frozenset((joint, count) for joint, count in left.items() if count)


def _hangs_together(ways: Iterable[tuple[str, str]], start: str) -> bool:
    reached, left = {start}, set(ways)
    while True:
        near = {way for way in left if way[0] in reached or way[1] in reached}
        if not near:
            return not left
        left -= near
        reached.update(joint for way in near for joint in way)


def _join(one: list[_Set], other: list[_Set], best: _Best) -> None:
    """Offer the joined sets that can be among the best: for each set of one half only as many of
    the other half's nearest on either side as are wanted."""
    totals = [each.total for each in other]
    for left in one:
        place = bisect_left(totals, best.target - left.total)
        for right in other[max(0, place - best.most) : place + best.most]:
            best.offer(left, right)


def _answer(
    each: _Set,
    rings: Sequence[tuple[Ring, tuple[str, str]]],
    target: int,
    tolerance_mm: float,
    between: tuple[Thread, Thread] | None,
) -> RingAnswer:
    chosen = [pair for place, pair in enumerate(rings) if each.bits >> place & 1]
    if between is None:
        ordered = [ring for ring, _ in chosen]
    else:
        ordered = _chain(chosen, _joint_below(between[0]))
    names = tuple(ring.name for ring in ordered)
    off_mm = (each.total - target) / _PER_MM
    within = abs(off_mm) <= tolerance_mm + 1e-9
    return RingAnswer(names, each.total / _PER_MM, off_mm, within, between is not None)


def _chain(rings: Sequence[tuple[Ring, tuple[str, str]]], start: str) -> list[Ring]:
    """The order in which the rings screw together (Hierholzer's way through every edge)."""
    leaving: dict[str, list[tuple[Ring, str]]] = {}
    for ring, (above, below) in reversed(rings):
        leaving.setdefault(above, []).append((ring, below))
    path: list[Ring] = []
    stack: list[tuple[str, Ring | None]] = [(start, None)]
    while stack:
        joint, before = stack[-1]
        if leaving.get(joint):
            ring, below = leaving[joint].pop()
            stack.append((below, ring))
        else:
            stack.pop()
            if before is not None:
                path.append(before)
    return path[::-1]
