"""When a result contradicts: which other story explains tonight better, and what to ask.

Tonight's events are replayed with one thing changed, and the probability of all its looks is set
beside that of the story as logged (a Bayes factor; H. Jeffreys 1961, Theory of Probability, ch. V).
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

from logbook.startest.screws.advice import Doubt, Step, amount_words
from logbook.startest.screws.events import Happening, Turned, Unsettled
from logbook.startest.screws.learner import Learned, Missed, learn

LEAST_ODDS = 30.0  # below this no story is worth a question
_MOST_DOUBTS = 3
_LATEST_TURNS = 3  # which single turns are replayed


@dataclass(frozen=True, slots=True)
class _Story:
    kind: str
    turn: Turned | None
    screw: str
    instead: str | None
    tonight: tuple[Happening, ...]


def doubts_of(
    before: Learned, tonight: tuple[Happening, ...], learned: Learned
) -> tuple[Doubt, ...]:
    """What may have gone wrong tonight, likeliest first; empty while the results agree.

    before -- what was known when tonight began; learned -- after tonight as logged.
    """
    if not learned.missed or learned.missed[-1].turn not in tonight:
        return ()
    missed = learned.missed[-1]
    told = []
    for story in _stories(tonight, learned.secondary.names):
        after = learn(before, story.tonight)
        gained = after.evidence - learned.evidence
        if gained > math.log(LEAST_ODDS) and not after.missed:
            told.append(_doubt(story, gained, missed))
    told.sort(key=lambda doubt: -doubt.odds)
    return tuple(told[:_MOST_DOUBTS]) or (_moved(missed),)


def _stories(tonight: tuple[Happening, ...], names: tuple[str, ...]) -> Iterator[_Story]:
    turned = [each for each in tonight if isinstance(each, Turned)]
    for turn in turned[-_LATEST_TURNS:]:
        yield from _of_one_turn(tonight, turn, names)
    if len(turned) > 1:
        yield from _of_the_night(tonight, turned, names)


def _of_one_turn(
    tonight: tuple[Happening, ...], turn: Turned, names: tuple[str, ...]
) -> Iterator[_Story]:
    for other in names:
        if other != turn.screw:
            changed = _with(tonight, {id(turn): replace(turn, screw=other)})
            yield _Story("other screw", turn, turn.screw, other, changed)
    back = _with(tonight, {id(turn): replace(turn, turns=-turn.turns)})
    yield _Story("other way", turn, turn.screw, None, back)
    yield _Story("slips", turn, turn.screw, None, _with(tonight, {id(turn): None}))


def _of_the_night(
    tonight: tuple[Happening, ...], turned: list[Turned], names: tuple[str, ...]
) -> Iterator[_Story]:
    used = {turn.screw for turn in turned}
    for one, other in combinations(names, 2):
        if {one, other} & used:
            yield _Story("labels", None, one, other, _swapped(tonight, turned, one, other))
    back = {id(each): replace(each, turns=-each.turns) for each in turned}
    yield _Story("other way", None, "", None, _with(tonight, back))
    for screw in used:
        of_it = {id(each): None for each in turned if each.screw == screw}
        if len(of_it) > 1:
            yield _Story("slips", None, screw, None, _with(tonight, of_it))
    camera = Unsettled(tonight[0].at, "camera", camera=True)
    yield _Story("camera", None, "", None, (camera, *tonight))


def _swapped(
    tonight: tuple[Happening, ...], turned: list[Turned], one: str, other: str
) -> tuple[Happening, ...]:
    swap = {one: other, other: one}
    told = {id(each): replace(each, screw=swap.get(each.screw, each.screw)) for each in turned}
    return _with(tonight, told)


def _with(
    tonight: tuple[Happening, ...], changed: Mapping[int, Happening | None]
) -> tuple[Happening, ...]:
    """Tonight with some happenings put differently; None leaves one out."""
    told = (changed.get(id(each), each) for each in tonight)
    return tuple(each for each in told if each is not None)


def _doubt(story: _Story, gained: float, missed: Missed) -> Doubt:
    odds = math.exp(min(gained, 300.0))
    evidence = (
        f"Chi² {missed.chi2:.0f} where 11 comes once in 245 times; "
        f"this fits tonight's looks {_odds_words(odds)} times better."
    )
    entry_id = story.turn.entry_id if story.turn is not None else None
    return Doubt(story.kind, entry_id, story.screw, story.instead, odds, evidence, _question(story))


def _question(story: _Story) -> str:
    turn = story.turn
    if story.kind == "other screw":
        return f"Was it {story.instead} that was turned, not {story.screw}?"
    if story.kind == "labels":
        return f"Are {story.screw} and {story.instead} swapped tonight?"
    if story.kind == "camera":
        return "Was the camera turned, or the picture flipped, since the last night?"
    if story.kind == "slips":
        which = f"this turn of {story.screw}" if turn else f"the turns of {story.screw}"
        return f"Did {which} move nothing? Look whether the screw grips, or is locked."
    if turn is None:
        return "Are tighten and loosen mixed up tonight (which clock sense tightens)?"
    way = ("tightened", "loosened") if turn.turns > 0 else ("loosened", "tightened")
    return f"Was {turn.screw} {way[1]} by {amount_words(turn.turns)}, not {way[0]}?"


def _moved(missed: Missed) -> Doubt:
    evidence = (
        f"Chi² {missed.chi2:.0f} where 11 comes once in 245 times, and no other screw, way or "
        "slip explains it."
    )
    question = "Was the tube knocked, the star off the centre of the field, or a locking screw set?"
    return Doubt("moved", missed.turn.entry_id, missed.turn.screw, None, 1.0, evidence, question)


def _odds_words(odds: float) -> str:
    return f"{odds:.0f}" if odds < 1000 else "over 1000"


def put_back(missed: Missed) -> Step:
    """The doubted turn the other way: whatever screw it was, that one."""
    return Step(missed.turn.screw, -missed.turn.turns)
