"""What the user has: parts with stated and measured values, and trains of them.

`kinds.py` describes what a part of each kind may carry.
"""

from dataclasses import dataclass, replace

from logbook.kit.parts.kinds import KINDS

STATED = "stated"
MEASURED = "measured"


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a part: a number in the quantity's unit, or a word for a text quantity."""

    quantity: str
    basis: str  # STATED or MEASURED
    number: float | None = None
    word: str | None = None
    how: str = ""
    measured_on: str = ""  # ISO date, as the user gave it


@dataclass(frozen=True, slots=True)
class Part:
    """A part as it stands at one moment."""

    name: str
    kind: str
    values: tuple[Value, ...] = ()
    state: str = "owned"
    note: str = ""
    reason: str = ""  # why it is wished for, lent or sold
    price: float | None = None
    photo_path: str = ""
    link: str = ""

    def value(self, quantity: str) -> Value | None:
        """The value that counts: the measured one if there is one, else the stated one."""
        found = {each.basis: each for each in self.values if each.quantity == quantity}
        return found.get(MEASURED) or found.get(STATED)

    def number(self, quantity: str) -> float | None:
        """The number of a quantity, measured before stated; None without one."""
        value = self.value(quantity)
        return value.number if value else None

    def possible(self, quantity: str) -> float | None:
        """The number, if it is one that can be; a zero pixel counts as not known."""
        number = self.number(quantity)
        described = KINDS[self.kind].quantity(quantity) if self.kind in KINDS else None
        if number is None or described is None or not described.low <= number <= described.high:
            return None
        return number

    def word(self, quantity: str) -> str | None:
        """The word of a quantity, measured before stated; None without one."""
        value = self.value(quantity)
        return value.word if value else None

    def without(self, quantity: str, basis: str) -> "Part":
        """This part with one value taken off."""
        kept = (each for each in self.values if (each.quantity, each.basis) != (quantity, basis))
        return replace(self, values=tuple(kept))

    def with_value(self, value: Value) -> "Part":
        """This part with one value set; the other basis of the same quantity stays."""
        kept = self.without(value.quantity, value.basis).values
        return replace(self, values=(*kept, value))

    def with_number(
        self, quantity: str, number: float, *, basis: str = STATED, how: str = "", on: str = ""
    ) -> "Part":
        """This part with the number of one quantity set."""
        return self.with_value(Value(quantity, basis, number=number, how=how, measured_on=on))

    def with_word(
        self, quantity: str, word: str, *, basis: str = STATED, how: str = "", on: str = ""
    ) -> "Part":
        """This part with the word of one quantity set."""
        return self.with_value(Value(quantity, basis, word=word, how=how, measured_on=on))


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one part of a train is set.

    setting_mm -- how far a focuser or a sliding fit is drawn out; adds to its optical length.
    along_tube_mm -- where its centre of mass sits along the tube: 0 at the tube's back plate,
        positive toward the sky. Of a dovetail or a saddle it is the middle.
    """

    part: str
    setting_mm: float | None = None
    along_tube_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Train:
    """Parts in the order in which light meets them, from sky to eye or sensor."""

    name: str
    kind: str  # camera or visual
    parts: tuple[Part, ...] = ()
    carried: tuple[Part, ...] = ()  # rides along: mount, weights, finder
    placements: tuple[Placement, ...] = ()

    def placement(self, part_name: str) -> Placement:
        """Where a part is set; an empty one if nothing is known."""
        found = (each for each in self.placements if each.part == part_name)
        return next(found, Placement(part_name))

    def first(self, kind: str) -> Part | None:
        """The first part of a kind in the light path."""
        return next((part for part in self.parts if part.kind == kind), None)

    def rides(self, kind: str) -> Part | None:
        """The first part of a kind that rides along or is in the light path."""
        return next((part for part in (*self.carried, *self.parts) if part.kind == kind), None)
