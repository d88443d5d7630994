"""The way back to an earlier state of the screws, turn by turn."""

from collections.abc import Mapping

from logbook.startest.screws.advice import SMALLEST_TURN, Step, WayBack, amount_words
from logbook.startest.screws.next_turn import MOST_TURNS


def way_back(now: Mapping[str, float], then: Mapping[str, float], to: str) -> WayBack:
    """Turns that lead from the running sums `now` to those of `then`.

    Each is a quarter turn at most. What keeps the sum of all nearest to 0 comes first, and of two
    alike the loosening, so that no screw is forced against the others.
    """
    left = {screw: then.get(screw, 0.0) - turns for screw, turns in now.items()}
    left |= {screw: turns for screw, turns in then.items() if screw not in now}
    net = sum(now.values())
    steps: list[Step] = []
    while open_screws := [each for each in left if abs(left[each]) > 0.5 * SMALLEST_TURN]:
        options = [Step(screw, _part(left[screw])) for screw in open_screws]
        best = min(options, key=lambda step: (round(abs(net + step.turns), 6), step.turns))
        steps.append(best)
        left[best.screw] -= best.turns
        net += best.turns
    total = sum(abs(step.turns) for step in steps)
    return WayBack(to, tuple(steps), total, _words(to, steps, total))


def _part(turns: float) -> float:
    return max(-MOST_TURNS, min(MOST_TURNS, turns))


def _words(to: str, steps: list[Step], total: float) -> str:
    if not steps:
        return f"The screws are at {to}."
    said = ", ".join(
        f"{step.screw} {'tighten' if step.turns > 0 else 'loosen'} {amount_words(step.turns)}"
        for step in steps
    )
    count = "1 turn" if len(steps) == 1 else f"{len(steps)} turns"
    return f"Back to {to}: {count}, {total:.2f} of a turn in all: {said}."
