"""What is typed in the forms of kit, read; and values as they are typed again."""

from datetime import date

from logbook.dates import read_date
from logbook.errors import BadInput
from logbook.kit.parts.kinds import Quantity
from logbook.kit.parts.part import MEASURED, STATED, Part, Value
from logbook.kit.parts.typed_values import read_number, read_value
from logbook.kit.parts.values import difference_words, value_lines
from logbook.text import clean, fold


def meant(typed: str, names: tuple[str, ...], what: str) -> str:
    """The name meant by its beginning. Raises BadInput that lists what there is."""
    exact = [name for name in names if fold(name) == fold(typed)]
    found = exact or [name for name in names if fold(name).startswith(fold(typed))]
    if len(found) != 1:
        raise BadInput(f"{what}: {', '.join(names) or 'none yet'}")
    return found[0]


def number_typed(number: float, unit: str) -> str:
    """`203.2 mm`, `0.73×`."""
    return f"{number:.10g}{'' if unit in ('', '°', '×') else ' '}{unit}"


def amount_typed(quantity: Quantity, value: Value) -> str:
    """The number with its unit, or the words."""
    if value.number is None:
        return value.word or ""
    return number_typed(value.number, quantity.unit)


def value_typed(quantity: Quantity, value: Value) -> str:
    """A value as it might have been typed: `49.6 mm; callipers; 2026-03-14`."""
    words = amount_typed(quantity, value)
    if value.basis == MEASURED and (value.how or value.measured_on):
        words += f"; {value.how}"
        words += f"; {value.measured_on}" if value.measured_on else ""
    return words


def read_stated(quantity: Quantity, typed: str) -> Value:
    """Raises BadInput."""
    read = read_value(quantity, typed)
    return Value(quantity.name, STATED, read.number, read.word)


def read_measured(quantity: Quantity, typed: str, how: str, on: str, today: date) -> Value:
    """`49.6`, or `49.6; callipers; 2026-03-14`; how and when else as given. Raises BadInput."""
    amount, *rest = (piece.strip() for piece in typed.split(";"))
    read = read_value(quantity, amount)
    own_day = rest.pop() if len(rest) > 1 else on
    own_how = "; ".join(rest) if rest else how
    return Value(
        quantity.name, MEASURED, read.number, read.word, clean(own_how), read_day(own_day, today)
    )


def read_day(typed: str, today: date) -> str:
    """A date as ISO text; nothing stays nothing. Raises BadInput."""
    return read_date(typed, today).isoformat() if typed else ""


def difference_said(kind: str, stated: Value | None, measured: Value) -> str:
    """`+0.2 mm (+0.1 %)` against what was stated; nothing where there is nothing to compare."""
    if stated is None:
        return ""
    found = value_lines(Part("", kind, (stated, measured)))
    return " ".join(difference_words(each) for each in found)


def read_price(typed: str) -> float | None:
    """A plain number; nothing typed is no price. Raises BadInput."""
    return read_number(typed, "", "the price") if typed else None
