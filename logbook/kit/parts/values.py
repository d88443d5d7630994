"""A part's values, as stated beside as measured."""

from dataclasses import dataclass

from logbook.kit.parts.kinds import KINDS, Quantity
from logbook.kit.parts.part import MEASURED, STATED, Part, Train


@dataclass(frozen=True, slots=True)
class ValueLine:
    """One value of a part, as stated and as measured; the measured one counts."""

    label: str
    unit: str
    stated: float | str | None
    measured: float | str | None
    how: str = ""
    measured_on: str = ""
    quantity: str = ""

    @property
    def counts(self) -> float | str | None:
        """The value that is calculated with: the measured one, else the stated one."""
        return self.stated if self.measured is None else self.measured

    @property
    def difference(self) -> float | None:
        """Measured less stated, where both are numbers."""
        if isinstance(self.stated, float) and isinstance(self.measured, float):
            return self.measured - self.stated
        return None

    @property
    def percent(self) -> float | None:
        """The difference in hundredths of what was stated; None where that is nothing."""
        difference = self.difference
        if difference is None or not isinstance(self.stated, float) or self.stated == 0:
            return None
        return difference / abs(self.stated) * 100.0


@dataclass(frozen=True, slots=True)
class PartLines:
    name: str
    kind: str
    values: tuple[ValueLine, ...]
    carried: bool = False


def difference_words(line: ValueLine) -> str:
    """`−0.35 kg (−3.6 %)`; empty where nothing differs or one of the two is not there."""
    difference, percent = line.difference, line.percent
    if not difference:
        if isinstance(line.stated, str) and line.measured not in (None, line.stated):
            return "differs"
        return ""
    words = f"{difference:+.4g} {line.unit}".replace("-", "−").rstrip()
    return words if percent is None else f"{words} ({percent:+.1f} %)".replace("-", "−")


def part_lines(train: Train) -> tuple[PartLines, ...]:
    """The parts of the light path, then what rides along."""
    lines = [PartLines(part.name, part.kind, value_lines(part)) for part in train.parts]
    carried = (PartLines(part.name, part.kind, value_lines(part), True) for part in train.carried)
    return (*lines, *carried)


def value_lines(part: Part) -> tuple[ValueLine, ...]:
    """The values a part has, in the order of its kind, stated beside measured."""
    kind = KINDS.get(part.kind)
    quantities = kind.quantities if kind else ()
    lines = (_value_line(part, quantity) for quantity in quantities)
    return tuple(line for line in lines if line is not None)


def _value_line(part: Part, quantity: Quantity) -> ValueLine | None:
    found = {each.basis: each for each in part.values if each.quantity == quantity.name}
    if not found:
        return None
    shown = {
        basis: each.number if each.word is None else each.word for basis, each in found.items()
    }
    measured = found.get(MEASURED)
    return ValueLine(
        quantity.label,
        quantity.unit,
        shown.get(STATED),
        shown.get(MEASURED),
        measured.how if measured else "",
        measured.measured_on if measured else "",
        quantity.name,
    )
