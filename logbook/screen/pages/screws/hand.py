"""The turn in hand: which screw, which way and how much, as the arrow keys set it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from logbook.records.entries import NewEntry, Screw, Turn

_LONGEST_PART = 64  # halves to 64ths of a turn are said as such, what else in minutes of a clock
# The units the owner may think in, each with the amounts that + and - step through.
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
    """A turn as advised, to half a minute of a clock or a 64th, said in the owner's unit."""
    amount = Fraction(abs(turns)).limit_denominator(120)
    return Hand(screw, turns > 0, amount, unit)
