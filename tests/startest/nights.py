"""Evenings at simulated telescopes, by the learner and by trial."""

from dataclasses import dataclass

import numpy as np

from logbook.startest.screws.advice import Limit
from logbook.startest.screws.adviser import verdict
from logbook.startest.screws.estimate import mixed
from logbook.startest.screws.events import Unsettled
from logbook.startest.screws.learner import Learned, learn
from logbook.startest.screws.next_turn import choose
from logbook.startest.screws.summaries import spot_of
from tests.startest.simulated import Conditions, Simulated, by_trial, telescope
from tests.startest.two_mirror import Array

CHI2_95 = 5.991  # 2 degrees of freedom
_MOST_LOOKS = 60


@dataclass(frozen=True)
class Result:
    """What became of many telescopes: turns of each, failures, nets, coverage of the responses."""

    turns: Array
    failed: float
    nets: Array
    covered: float

    def median(self) -> float:
        return float(np.median(self.turns))

    def ninth(self) -> float:
        """The 90th percentile."""
        return float(np.percentile(self.turns, 90))


def evening(
    simulated: Simulated, within: float, learned: Learned, most: int = 40
) -> tuple[bool, Learned]:
    """Do as advised until it says stop; False if that took too long."""
    radius = simulated.radius_arcsec
    limit = Limit(2.0, True, 0.5, within, 0.0, within, "")
    learned = learn(learned, [simulated.look()])
    begun, looks = simulated.turns, 0
    while simulated.turns - begun < most and looks < _MOST_LOOKS:
        said = verdict(spot_of(learned.belief, radius), limit, learned.looks)
        if said == "stop":
            return True, learned
        sigma = simulated.conditions.look_sigma * radius
        choice = choose(learned, simulated.sums, within * radius, sigma) if said == "turn" else None
        if choice is None:
            looks += 1
        else:
            learned = learn(learned, [simulated.turn(choice.screw, choice.turns)])
        learned = learn(learned, [simulated.look()])
    return False, learned


def by_learning(
    seeds: range, conditions: Conditions, within: float, earlier_nights: int = 0
) -> Result:
    """The last of some evenings a week apart at each telescope, carried between them."""
    turns, nets, failures, covered = [], [], 0, []
    for seed in seeds:
        simulated = telescope(seed, conditions)
        learned = Learned(simulated.secondary)
        done = True
        for night in range(earlier_nights + 1):
            begun = simulated.turns
            if night:
                simulated.carry()
                learned = learn(learned, [Unsettled(simulated.at, "transport", 6.0)])
            done, learned = evening(simulated, within, learned)
        off = float(np.hypot(*simulated.offset))
        failures += not done or off > 2.0 * within
        turns.append(simulated.turns - begun)
        nets.append(simulated.most_net)
        covered += _covered(simulated, learned)
    return Result(
        np.array(turns, float), failures / len(turns), np.array(nets), float(np.mean(covered))
    )


def _covered(simulated: Simulated, learned: Learned) -> list[bool]:
    """Whether each true response lies inside the 95 % region that is stated for it."""
    mean, covariance = mixed(learned.belief)
    inside = []
    for screw, truth in enumerate(simulated.response * simulated.radius_arcsec):
        at = slice(2 + 2 * screw, 4 + 2 * screw)
        missed = truth - mean[at]
        inside.append(bool(missed @ np.linalg.solve(covariance[at, at], missed) < CHI2_95))
    return inside


def by_trying(seeds: range, conditions: Conditions, within: float, first_step: float) -> Result:
    """Keep a turn if it looks better, else put it back: from the same starts."""
    turns, failures = [], 0
    for seed in seeds:
        simulated = telescope(seed, conditions)
        done = by_trial(simulated, within, first_step=first_step, most=100)
        failures += not done
        turns.append(simulated.turns)
    return Result(np.array(turns, float), failures / len(turns), np.zeros(len(turns)), 0.0)
