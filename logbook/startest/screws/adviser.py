"""What to do next at the telescope: look, turn one screw, answer a question, or stop."""

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from logbook.startest.screws import words
from logbook.startest.screws.advice import (
    Advice,
    Doubt,
    Limit,
    Spot,
    Step,
    amount_words,
    headline_of,
)
from logbook.startest.screws.contradictions import doubts_of, put_back
from logbook.startest.screws.estimate import after_turn
from logbook.startest.screws.events import Happening, Looked
from logbook.startest.screws.learner import Learned, learn, way_change
from logbook.startest.screws.next_turn import Choice, choose
from logbook.startest.screws.stopping import seeing_limit
from logbook.startest.screws.summaries import chance_better, mirrored, responses_of, spot_of
from logbook.startest.screws.way_back import way_back

LOOKS_TO_BE_SURE = 3
NEAR_SHARE = 1.3  # within so many limits one looks again before anything else
STALE = timedelta(hours=8)  # a look of an earlier night says little of now
FEWEST_SCREWS = 2
_WORSE_SIGMAS = 2.0


@dataclass(frozen=True, slots=True)
class Night:
    """What the adviser starts from.

    before -- what was known when tonight began; tonight -- what happened since.
    sums -- running sum of each screw since the start.
    seeing_arcsec -- width of a star tonight; None where it was not logged.
    """

    before: Learned
    tonight: tuple[Happening, ...] = ()
    sums: tuple[Step, ...] = ()
    seeing_arcsec: float | None = None


def advise(night: Night, now: datetime) -> Advice:
    """The next thing to do, with its reasons in numbers."""
    learned = learn(night.before, night.tonight)
    base = _base(learned, night)
    if len(learned.secondary.screws) < FEWEST_SCREWS:
        return replace(base, kind="none", headline="NAME THE SCREWS", reasons=(words.NO_SCREWS,))
    look = learned.look
    if look is None:
        return _look_first(base, words.NO_LOOK)
    base = _seen(base, learned, look, night.seeing_arcsec)
    why = _why_look(learned, look, now)
    if why:
        return _look_first(base, why)
    doubts = doubts_of(night.before, night.tonight, learned)
    assert base.now is not None
    assert base.limit is not None
    said = "turn" if doubts else verdict(base.now, base.limit, learned.looks)
    if said == "look":
        return _look_again(base, base.now, base.limit, learned.looks)
    if said == "stop":
        return _stop(base, learned, base.now, base.limit)
    return _turn(base, learned, look, base.limit, doubts)


def verdict(spot: Spot, limit: Limit, looks: int) -> str:
    """`stop`, `look` or `turn`, from the offset and how sure it is; looks since the last turn."""
    if spot.fraction > NEAR_SHARE * limit.total:
        return "turn"
    if spot.fraction + spot.sigma <= limit.total or looks >= LOOKS_TO_BE_SURE:
        return "stop" if spot.fraction <= limit.total else "turn"
    return "look"


def _base(learned: Learned, night: Night) -> Advice:
    """What every piece of advice carries: where the screws stand and the way back."""
    turned = {step.screw: step.turns for step in night.sums}
    sums = {name: turned.get(name, 0.0) for name in learned.secondary.names}
    return Advice(
        "none",
        "",
        sums=tuple(Step(name, turns) for name, turns in sums.items()),
        net=sum(sums.values()),
        way_back=way_back(sums, {}, "the start"),
    )


def _seen(base: Advice, learned: Learned, look: Looked, seeing_arcsec: float | None) -> Advice:
    radius = look.radius_arcsec
    return replace(
        base,
        now=spot_of(learned.belief, radius),
        limit=seeing_limit(learned.secondary, radius, look.sigma_arcsec, seeing_arcsec),
        responses=responses_of(learned, radius),
        mirrored=mirrored(learned.belief),
    )


def _why_look(learned: Learned, look: Looked, now: datetime) -> str:
    """Why what was last seen no longer counts; "" if it does."""
    if learned.turned:
        return words.not_looked_since(learned.turned[-1])
    if learned.unsettled is not None:
        return words.unsettled_since(learned.unsettled)
    return words.STALE_LOOK if now - look.at > STALE else ""


def _look_first(base: Advice, why: str) -> Advice:
    return replace(base, kind="look", headline="LOOK", reasons=(why,), looks_wanted=1)


def _look_again(base: Advice, spot: Spot, limit: Limit, looks: int) -> Advice:
    wanted = LOOKS_TO_BE_SURE - looks
    reasons = (words.spot(spot), words.near(limit, wanted), limit.words)
    return replace(base, kind="look", headline="LOOK AGAIN", reasons=reasons, looks_wanted=wanted)


def _stop(base: Advice, learned: Learned, spot: Spot, limit: Limit) -> Advice:
    reasons = (words.inside(spot, limit), limit.words, words.AFTER_STOP)
    distance = words.distance(base.net, learned.secondary)
    return replace(
        base, kind="stop", headline="STOP", reasons=(*reasons, *filter(None, (distance,)))
    )


def _turn(
    base: Advice, learned: Learned, look: Looked, limit: Limit, doubts: tuple[Doubt, ...]
) -> Advice:
    sums = np.array([step.turns for step in base.sums])
    least = limit.total * look.radius_arcsec
    choice = choose(learned, sums, least, look.sigma_arcsec)
    if choice is None:
        return _no_turn(base, limit)
    advice = _with_step(base, learned, look, choice)
    if not doubts:
        return advice
    back = _offered_back(learned, look)
    evidence = (doubts[0].evidence,) if back is None else (doubts[0].evidence, words.back(back))
    return replace(
        advice,
        kind="ask",
        headline=words.question_headline(doubts[0]),
        reasons=(*evidence, *advice.reasons),
        doubts=doubts,
        put_back=back,
    )


def _no_turn(base: Advice, limit: Limit) -> Advice:
    """Over the limit, and yet no turn that a hand can make would help."""
    assert base.now is not None
    reasons = (words.spot(base.now), words.NO_TURN_HELPS, limit.words)
    return replace(base, kind="look", headline="LOOK AGAIN", reasons=reasons, looks_wanted=2)


def _with_step(base: Advice, learned: Learned, look: Looked, choice: Choice) -> Advice:
    screw = learned.secondary.screws[choice.screw]
    step = Step(screw.name, choice.turns)
    change = way_change(learned, screw.name, step.turns)
    moved = after_turn(learned.belief, choice.screw, step.turns, change)
    predicted = spot_of(moved, look.radius_arcsec)
    chance = chance_better(learned.belief, choice.screw, step.turns)
    assert base.now is not None
    assert base.limit is not None
    shift = math.sqrt(2.0) * predicted.sigma if choice.is_probe else 0.0
    reasons = [words.spot(base.now)]
    if choice.is_probe:
        reasons.append(words.probe(step, shift))
    else:
        reasons.append(words.response(base.responses[choice.screw]))
        reasons.append(words.predicted(predicted, chance, choice.planned))
    reasons.append(words.net(base.net, step))
    return replace(
        base,
        kind="probe" if choice.is_probe else "turn",
        headline=headline_of(step),
        step=step,
        amount_words=amount_words(step.turns),
        predicted=predicted,
        chance_better=chance,
        reasons=(*reasons, base.limit.words),
        cautions=words.cautions(step, base.sums[choice.screw].turns, screw),
    )


def _offered_back(learned: Learned, look: Looked) -> Step | None:
    """The last turn the other way, where the shadow came to lie further out."""
    before = learned.look_before
    if before is None:
        return None
    grown = math.hypot(look.x_arcsec, look.y_arcsec) - math.hypot(before.x_arcsec, before.y_arcsec)
    least = _WORSE_SIGMAS * math.hypot(look.sigma_arcsec, before.sigma_arcsec)
    return put_back(learned.missed[-1]) if grown > least else None
