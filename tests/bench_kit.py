"""How soon the ring finder answers, against trying every set."""

import random
import time
from collections.abc import Callable
from itertools import combinations

from logbook.kit.parts.threads import read_thread
from logbook.kit.train.ring_sets import Ring, nearest_sets

WANTED_MM = 155.37


def run() -> list[str]:
    """24 rings, without and with threads; 16 rings against every subset by the standard library."""
    few, many = _rings(16), _rings(24)
    female = read_thread("M54x0.75 female")
    plain = _seconds(lambda: nearest_sets(many, WANTED_MM))
    threaded = _seconds(lambda: nearest_sets(many, WANTED_MM, between=(female, female.partner)))
    ours, brute = _seconds(lambda: nearest_sets(few, WANTED_MM)), _seconds(lambda: _every_set(few))
    return [
        f"24 rings: {plain * 1e3:.0f} ms; that screw together: {threaded * 1e3:.0f} ms",
        f"16 rings: {ours * 1e3:.1f} ms, every set {brute * 1e3:.0f} ms, {brute / ours:.0f} times",
    ]


def _rings(count: int) -> list[Ring]:
    drawn = random.Random(7)
    female = read_thread("M54x0.75 female")
    return [
        Ring(f"{n}", round(drawn.uniform(1.0, 60.0), 2), female.partner, female)
        for n in range(count)
    ]


def _every_set(rings: list[Ring]) -> float:
    lengths = [each.length_mm for each in rings]
    return min(
        abs(sum(chosen) - WANTED_MM)
        for count in range(len(lengths) + 1)
        for chosen in combinations(lengths, count)
    )


def _seconds(what: Callable[[], object]) -> float:
    times = []
    for _ in range(3):
        begun = time.perf_counter()
        what()
        times.append(time.perf_counter() - begun)
    return min(times)
