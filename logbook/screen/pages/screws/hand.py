"""The turn in hand: which screw, which way and how much, as the arrow keys set it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from logbook.records.entries import NewEntry, Screw, Turn
from logbook.startest.screws.advice import Step

_LONGEST_PART = 64  # halves to 64ths of a turn are shown as such, what else in minutes of a clock
# The units the user may think in, each with the amounts that + and - step through.
_EIGHTHS = tuple(Fraction(n, 8) for n in (1, 2, 3, 4, 6, 8))
_SIXTEENTHS = tuple(Fraction(n, 32) for n in (1, 2, 3, 4, 6, 8, 12, 16))
_MINUTES = tuple(Fraction(n, 60) for n in (1, 2, 3, 4, 5, 6, 8, 10, 15, 20, 30))
_DEGREES = tuple(Fraction(n, 360) for n in (5, 10, 15, 20, 30, 45, 60, 90, 120, 180))
UNITS: dict[str, tuple[Fraction, ...]] = {
    "sixteenths": _SIXTEENTHS,
    "eighths": _EIGHTHS,
    "minutes of clock": _MINUTES,
    "degrees": _DEGREES,
}
FIRST_AMOUNT = Fraction(1, 16)


@dataclass(frozen=True, slots=True)
class Hand:
    """A turn that is prepared, not made. `turns` is tightening positive."""

    screw: str = ""
    tighten: bool = True
    amount: Fraction = FIRST_AMOUNT
    unit: str = "sixteenths"

    @property
    def turns(self) -> float:
        return float(self.amount if self.tighten else -self.amount)

    @property
    def way(self) -> str:
        return "tighten" if self.tighten else "loosen"

    def amount_words(self) -> str:
        """`1/16`, `5 min`, `20 deg`: as the unit in use says it."""
        if self.unit == "minutes of clock":
            return f"{float(self.amount * 60):.3g} min"
        if self.unit == "degrees":
            return f"{float(self.amount * 360):.3g} deg"
        if _LONGEST_PART % self.amount.denominator:
            return f"{float(self.amount * 60):.3g} min"
        return str(self.amount)

    def entry(self, made_utc: datetime) -> NewEntry:
        """The turn as an entry, exactly what it is; its words are those of a line."""
        line = f"turn {self.screw} {self.way} {self.amount_words()}"
        return NewEntry("turn", made_utc, line, turn=Turn(self.screw, self.turns))

    def next_screw(self, screws: Sequence[Screw], step: int) -> "Hand":
        names = [each.name for each in screws]
        if not names:
            return self
        at = names.index(self.screw) + step if self.screw in names else 0
        return replace(self, screw=names[at % len(names)])

    def more(self, step: int) -> "Hand":
        """The next larger or smaller amount of the unit in use."""
        amounts = UNITS[self.unit]
        if step > 0:
            larger = [each for each in amounts if each > self.amount]
            return replace(self, amount=larger[0] if larger else amounts[-1])
        smaller = [each for each in amounts if each < self.amount]
        return replace(self, amount=smaller[-1] if smaller else amounts[0])

    def next_unit(self) -> "Hand":
        """The same turn in the next unit, at the amount of it that is nearest."""
        names = tuple(UNITS)
        unit = names[(names.index(self.unit) + 1) % len(names)]
        nearest = min(UNITS[unit], key=lambda each: abs(each - self.amount))
        return replace(self, unit=unit, amount=nearest)


def hand_of(screw: str, turns: float, unit: str) -> Hand:
    """A turn as advised, to half a minute of a clock or a 64th, in the user's unit."""
    amount = Fraction(abs(turns)).limit_denominator(120)
    return Hand(screw, turns > 0, amount, unit)


@dataclass(frozen=True, slots=True)
class TurnInHand:
    """The turn that is prepared, and who prepared it.

    is_own -- the user changed it; an advice leaves it alone.
    way_left -- the rest of a way back: its first step is in hand, whatever is advised.
    """

    hand: Hand = Hand()
    is_own: bool = False
    way_left: tuple[Step, ...] = ()

    @property
    def is_prepared(self) -> bool:
        """Whether it is the user's: changed, or of a way back that was chosen."""
        return self.is_own or bool(self.way_left)

    def holds(self, step: Step) -> bool:
        return step.screw == self.hand.screw and abs(step.turns - self.hand.turns) < 1e-3

    def changed(self, hand: Hand) -> "TurnInHand":
        return replace(self, hand=hand, is_own=True)

    def with_advice(self, step: Step | None) -> "TurnInHand":
        """An advised turn comes into hand, unless the user prepared one."""
        advised = self if step is None or self.is_own else self._with_step(step)
        return advised.on_way(advised.way_left)

    def given_up(self, step: Step | None) -> "TurnInHand":
        """No turn of the user's and no way back any more: the advised turn is in hand again."""
        return TurnInHand(self.hand).with_advice(step)

    def on_way(self, steps: tuple[Step, ...]) -> "TurnInHand":
        """On a way back: its next step is in hand."""
        way = replace(self, way_left=steps)
        return way._with_step(steps[0]) if steps else way

    def off_way(self) -> "TurnInHand":
        return replace(self, way_left=())

    def after(self, turn: Turn | None) -> "TurnInHand":
        """A turn was logged: the hand is free for what is advised, or for the rest of the way."""
        free = replace(self, is_own=False)
        return free.on_way(self.way_left[1:]) if self._is_next_step(turn) else free

    def on_one_of(self, screws: Sequence[Screw]) -> "TurnInHand":
        """There is always a screw in hand, if any is named."""
        if not screws or self.hand.screw in {each.name for each in screws}:
            return self
        return replace(self, hand=replace(self.hand, screw=screws[0].name))

    def _with_step(self, step: Step) -> "TurnInHand":
        return replace(self, hand=hand_of(step.screw, step.turns, self.hand.unit))

    def _is_next_step(self, turn: Turn | None) -> bool:
        if turn is None or not self.way_left:
            return False
        step = self.way_left[0]
        return turn.screw == step.screw and abs(turn.turns - step.turns) < 1e-3
