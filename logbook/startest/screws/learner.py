"""Learning how a telescope answers its screws, event by event.

A turn that misses its prediction is doubted, not believed: the offset is taken as seen and
nothing is learned from it. A second miss in a row puts the learning itself in doubt.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from logbook.startest.screws import estimate as beliefs
from logbook.startest.screws.estimate import Belief
from logbook.startest.screws.events import Happening, Looked, Turned, Unsettled
from logbook.startest.screws.prior import Secondary, response_size, screw_shapes

DOUBTED_CHI2 = 11.0  # 2 degrees of freedom: 1 in 245 by chance
OFFSET_PER_DAY_ARCSEC = 0.4  # how far collimation wanders by itself in a day
MOST_WANDERING_ARCSEC = 8.0
RESPONSE_PER_DAY = 0.01  # how fast what was learned fades, as a share of the size
OTHER_SIDE_ARCSEC = 1.0  # a shadow off the axis by itself changes sides with the focus
UNKNOWN_TURN_ARCSEC = 5.0  # what the turn of a screw that is no longer named may have done
OTHER_PIER_ARCSEC = 0.4  # mirrors and focuser sag the other way
_FIRST_OFFSET_ARCSEC = 12.0
_SHAKEN_SHARE = 0.5
_MOST_ORIENTATIONS = 4
_DAY_S = 86400.0


@dataclass(frozen=True, slots=True)
class Missed:
    """A look that the turn before it does not explain."""

    turn: Turned
    chi2: float


@dataclass(frozen=True, slots=True)
class Learned:
    """All that is known of one telescope at one moment.

    beliefs -- (orientation, belief), the one seen last at the end.
    looks -- since the last turn or upset, in the last orientation.
    turned -- turns since the last look.
    missed -- misses since the last look that agreed; the newest last.
    evidence -- log of the probability of all looks so far, to set stories beside each other.
    """

    secondary: Secondary
    beliefs: tuple[tuple[str, Belief], ...] = ()
    at: datetime | None = None
    look: Looked | None = None
    look_before: Looked | None = None  # the last before the newest turn
    looks: int = 0
    turned: tuple[Turned, ...] = ()
    unsettled: Unsettled | None = None  # since the last look
    ways: tuple[tuple[str, float], ...] = ()  # how each screw was turned last
    counts: tuple[tuple[str, int], ...] = ()  # turns seen of each screw
    missed: tuple[Missed, ...] = ()
    camera_turned: bool = False
    evidence: float = 0.0

    @property
    def belief(self) -> Belief:
        """The estimate after the last event, or the prior without any."""
        return self.beliefs[-1][1] if self.beliefs else first_belief(self.secondary)


def first_belief(secondary: Secondary) -> Belief:
    """Only the plan is known."""
    size, share = response_size(secondary)
    return beliefs.prior(screw_shapes(secondary), size, share, _FIRST_OFFSET_ARCSEC)


def learn(learned: Learned, happenings: Iterable[Happening]) -> Learned:
    """What is known after these, too; they are in the order in which they happened."""
    for each in happenings:
        learned = _passed(learned, each.at)
        if isinstance(each, Looked):
            learned = _look(learned, each)
        elif isinstance(each, Turned):
            learned = _turn(learned, each)
        else:
            learned = _upset(learned, each)
    return learned


def _passed(learned: Learned, at: datetime) -> Learned:
    """Time alone makes everything a little less sure."""
    if learned.at is None or at <= learned.at:
        return replace(learned, at=at)
    days = (at - learned.at).total_seconds() / _DAY_S
    wandered = min(MOST_WANDERING_ARCSEC, OFFSET_PER_DAY_ARCSEC * days**0.5)
    faded = RESPONSE_PER_DAY * days**0.5
    older = []
    for name, belief in learned.beliefs:
        aged = beliefs.loosened_offset(belief, wandered)
        older.append((name, beliefs.loosened_response(aged, faded) if days > 0.25 else aged))
    return replace(learned, beliefs=tuple(older), at=at)


def _turn(learned: Learned, turned: Turned) -> Learned:
    """Every orientation moves with it, whichever it is seen in next."""
    names = learned.secondary.names
    if turned.screw not in names:  # a screw of before, no longer named
        return _upset(learned, Unsettled(turned.at, f"{turned.screw} turned", UNKNOWN_TURN_ARCSEC))
    screw, ways = names.index(turned.screw), dict(learned.ways)
    change = way_change(learned, turned.screw, turned.turns)
    ways[turned.screw] = turned.turns
    moved = [
        (name, beliefs.after_turn(belief, screw, turned.turns, change))
        for name, belief in learned.beliefs
    ]
    return replace(
        learned,
        beliefs=tuple(moved),
        turned=(*learned.turned, turned),
        ways=tuple(ways.items()),
        looks=0,
        look_before=learned.look if not learned.turned else learned.look_before,
    )


def way_change(learned: Learned, screw: str, turns: float) -> float:
    """1 if the screw went the other way last, 0 if the same, a half if that is not known."""
    last = dict(learned.ways).get(screw)
    if last is None:
        return 0.5
    return 0.0 if (last > 0) == (turns > 0) else 1.0


def _upset(learned: Learned, upset: Unsettled) -> Learned:
    names = learned.secondary.names
    screw = names.index(upset.screw) if upset.screw in names else None
    shaken = []
    for name, belief in learned.beliefs:
        less = beliefs.loosened_offset(belief, upset.offset_arcsec)
        if upset.response_share:
            less = beliefs.loosened_response(less, upset.response_share, screw)
        shaken.append((name, less))
    moved = upset.offset_arcsec > 0.0
    return replace(
        learned,
        beliefs=tuple(shaken),
        unsettled=upset if moved else learned.unsettled,
        looks=0 if moved else learned.looks,
        camera_turned=learned.camera_turned or upset.camera,
    )


def _look(learned: Learned, look: Looked) -> Learned:
    belief = _other_place(learned, look, _facing(learned, look))
    seen = np.array([look.x_arcsec, look.y_arcsec])
    looked = beliefs.after_look(belief, seen, look.sigma_arcsec)
    known = looked.belief
    missed: tuple[Missed, ...] = () if learned.turned else learned.missed
    if learned.turned and looked.chi2 > DOUBTED_CHI2:
        missed = (*learned.missed, Missed(learned.turned[-1], looked.chi2))
        known = beliefs.with_offset(belief, seen, look.sigma_arcsec)
        if len(missed) > 1:
            known = beliefs.loosened_response(known, _SHAKEN_SHARE)
            known = beliefs.with_both_mirrorings(known, 0.5)
    kept = [pair for pair in learned.beliefs if pair[0] != look.orientation]
    if learned.camera_turned:
        kept = []
    again = learned.looks + 1 if _same_place(learned.look, look) else 1
    return replace(
        learned,
        beliefs=(*kept[1 - _MOST_ORIENTATIONS :], (look.orientation, known)),
        look=look,
        looks=again if not learned.turned else 1,
        turned=(),
        unsettled=None,
        counts=_counted(learned),
        missed=missed,
        camera_turned=False,
        evidence=learned.evidence + looked.evidence,
    )


def _counted(learned: Learned) -> tuple[tuple[str, int], ...]:
    counts = dict(learned.counts)
    if learned.look is not None:
        for turned in learned.turned:
            counts[turned.screw] = counts.get(turned.screw, 0) + 1
    return tuple(counts.items())


def _facing(learned: Learned, look: Looked) -> Belief:
    """The belief of the look's orientation; a new one keeps the size of what was learned."""
    found = dict(learned.beliefs).get(look.orientation)
    if found is not None and not learned.camera_turned:
        return found
    if not learned.beliefs:
        return first_belief(learned.secondary)
    latest = learned.beliefs[-1][1]
    offset2 = beliefs.moments(latest)[0, 0]
    kept = beliefs.in_new_orientation(latest, float(np.sqrt(offset2 / 2.0)))
    return first_belief(learned.secondary) if kept is None else kept


def _same_place(before: Looked | None, look: Looked) -> bool:
    return (
        before is not None
        and before.orientation == look.orientation
        and before.side == look.side
        and before.pier_side == look.pier_side
    )


def _other_place(learned: Learned, look: Looked, belief: Belief) -> Belief:
    """The other side of focus or of the pier shows an offset of its own."""
    before = learned.look
    if before is None:
        return belief
    if before.side and look.side and before.side != look.side:
        belief = beliefs.loosened_offset(belief, OTHER_SIDE_ARCSEC)
    if before.pier_side and look.pier_side and before.pier_side != look.pier_side:
        belief = beliefs.loosened_offset(belief, OTHER_PIER_ARCSEC)
    return belief
