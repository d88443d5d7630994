"""Which single turn comes next: the first of the one, two or three turns that leave least.

For turns t of screws i, j, .. the expected squared offset left is
    E|o + Σ t g|² = E|o|² + 2 Σ t E[o·g] + Σ Σ t t' E[g·g'],
with the hand's error and the slip of a screw added; the least of it solves a small linear system.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from logbook.startest.screws.advice import SMALLEST_TURN, handy
from logbook.startest.screws.estimate import SLIP_TURNS, Belief, expected_play, hand_share, moments
from logbook.startest.screws.learner import Learned, way_change
from logbook.startest.screws.prior import Array

MOST_TURNS = 0.25  # in one step
MOST_NET = 0.25  # the sum of all sums stays within a quarter
PLANNED_NET = 0.24  # leaves a margin for what a hand can do
MOST_LOOSENED = 1.0  # of one screw against the start: never advised beyond
NET_PRICE_TURNS = 0.25  # a net sum of this weighs as much as an offset of one limit
TURN_PRICE = 0.8  # of one more turn, in squared limits
_LEAST_TURN = 0.6 * SMALLEST_TURN
_PROBE_LEAST, _PROBE_MOST, _PROBE_COARSE = 0.03, 0.1, 0.2
_PROBE_WHEN_LEFT = 0.3  # probe if the best known turns leave more of the squared offset
UNKNOWN_SHARE = 0.35  # a response less sure than this is not known


@dataclass(frozen=True, slots=True)
class Choice:
    """The turn chosen: `turns` of the screw with that index; `left` of the squared offset."""

    screw: int
    turns: float
    left_share: float
    planned: int  # how many turns the whole plan has
    is_probe: bool


@dataclass(frozen=True, slots=True)
class _Plan:
    screws: tuple[int, ...]
    turns: Array
    left: float
    cost: float


def choose(learned: Learned, sums: Array, limit_arcsec: float, look_arcsec: float) -> Choice | None:
    """The next turn, or None where no turn that a hand can make helps.

    sums -- running sum of each screw, tightening positive.
    """
    belief = learned.belief
    products = moments(belief)
    plans = [
        plan
        for count in (1, 2, 3)
        for screws in combinations(range(belief.screws), count)
        if (plan := _plan(belief, products, screws, sums, limit_arcsec)) is not None
    ]
    best = min(plans, key=lambda plan: plan.cost, default=None)
    unknown = _unknown(belief)
    left_share = best.left / products[0, 0] if best is not None else 1.0
    if unknown and left_share > _PROBE_WHEN_LEFT:
        probe = _probe(products, unknown, sums, look_arcsec)
        if probe is not None:
            return probe
    if best is None:
        return None
    screw, turns = _first_of(best, sums)
    turns = _with_play(learned, screw, turns, float(sums.sum()))
    return Choice(screw, turns, left_share, len(best.screws), is_probe=False)


def _with_play(learned: Learned, screw: int, turns: float, net: float) -> float:
    """A screw that changes its way takes up its play first."""
    change = way_change(learned, learned.secondary.names[screw], turns)
    more = change * expected_play(learned.belief)
    if more < SMALLEST_TURN:
        return turns
    longer = handy(float(np.copysign(min(MOST_TURNS, abs(turns) + more), turns)))
    return longer if _net_allowed(net, longer) else turns


def unknown_share(belief: Belief) -> Array:
    """How unsure each response is, as a share of its expected size; shape (screws,)."""
    products = moments(belief)
    mean = (belief.weight @ belief.mean)[2:].reshape(-1, 2)
    whole = np.diag(products)[1:]
    unsure: Array = np.sqrt(np.maximum(0.0, whole - np.sum(mean**2, axis=1)) / whole)
    return unsure


def _unknown(belief: Belief) -> list[int]:
    return [int(each) for each in np.flatnonzero(unknown_share(belief) > UNKNOWN_SHARE)]


def _plan(
    belief: Belief, products: Array, screws: tuple[int, ...], sums: Array, limit_arcsec: float
) -> _Plan | None:
    at = [1 + screw for screw in screws]
    pull = products[0, at]
    square = products[np.ix_(at, at)].copy()
    own = np.diag(square)
    square[np.diag_indices(len(at))] *= 1.0 + hand_share(belief) ** 2
    net_price = (limit_arcsec / NET_PRICE_TURNS) ** 2
    net = float(sums.sum())
    wanted = np.linalg.solve(square + net_price, -(pull + net_price * net))
    exact: Array = np.asarray(wanted, dtype=np.float64)
    turns = _allowed(exact, screws, sums)
    if turns is None:
        return None
    slip = SLIP_TURNS**2 * float(own.sum())
    left = float(products[0, 0] + 2.0 * pull @ turns + turns @ square @ turns) + slip
    after = net + float(turns.sum())
    cost = left + net_price * after**2 + TURN_PRICE * len(screws) * limit_arcsec**2
    return _Plan(screws, turns, left, cost)


def _allowed(exact: Array, screws: tuple[int, ...], sums: Array) -> Array | None:
    """The turns as a hand makes them and as safety allows; None if one comes to nothing."""
    if np.abs(exact).min() < _LEAST_TURN:
        return None
    net = float(sums.sum())
    within = _within_net(np.clip(exact, -MOST_TURNS, MOST_TURNS), net)
    if np.abs(within).min() < _LEAST_TURN:
        return None
    turns = np.array([handy(each) for each in within])
    if not _net_allowed(net, float(turns.sum())):
        return None
    after = sums[list(screws)] + turns
    if np.any((after < -MOST_LOOSENED) & (turns < 0)):
        return None
    return turns


def _within_net(turns: Array, net: float) -> Array:
    """Those turns shortened that would drive the sum of all too far."""
    most = max(PLANNED_NET, abs(net))
    over = net + float(turns.sum())
    over -= min(most, max(-most, over))
    guilty = np.where(turns * over > 0.0, turns, 0.0)
    total = float(guilty.sum())
    return turns - over * guilty / total if total else turns


def _net_allowed(net: float, turns: float) -> bool:
    """Whether the sum of all stays within its bounds, or at least comes no further out."""
    return abs(net + turns) <= max(MOST_NET, abs(net)) + 1e-9


def _first_of(plan: _Plan, sums: Array) -> tuple[int, float]:
    """The largest turn first, as long as the sum of all stays within bounds."""
    net = float(sums.sum())
    order = sorted(range(len(plan.turns)), key=lambda each: -abs(plan.turns[each]))
    for each in order:
        if _net_allowed(net, float(plan.turns[each])):
            return plan.screws[each], float(plan.turns[each])
    least = min(order, key=lambda each: abs(net + plan.turns[each]))
    return plan.screws[least], float(plan.turns[least])


def _probe(products: Array, unknown: list[int], sums: Array, look_arcsec: float) -> Choice | None:
    """A turn of an unknown screw, large enough to be seen, small enough to do no harm."""
    net = float(sums.sum())
    best: Choice | None = None
    for screw in unknown:
        size = float(np.sqrt(products[1 + screw, 1 + screw]))
        wanted = max(4.0 * look_arcsec, 0.6 * float(np.sqrt(products[0, 0]))) / size
        most = max(_PROBE_MOST, min(_PROBE_COARSE, 3.0 * look_arcsec / size))
        amount = handy(float(np.clip(wanted, _PROBE_LEAST, most)))
        for turns in (amount, -amount):
            if not _net_allowed(net, turns) or sums[screw] + turns < -MOST_LOOSENED:
                continue
            left = products[0, 0] + 2.0 * turns * products[0, 1 + screw]
            left += turns**2 * products[1 + screw, 1 + screw]
            choice = Choice(screw, turns, float(left / products[0, 0]), 1, is_probe=True)
            if best is None or _probe_key(choice, net) < _probe_key(best, net):
                best = choice
    return best


def _probe_key(choice: Choice, net: float) -> tuple[float, float]:
    return round(choice.left_share, 2), abs(net + choice.turns)
