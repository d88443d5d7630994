"""What a field of a form is, and what is shown beside it."""

from collections.abc import Callable
from dataclasses import dataclass, field

from logbook.errors import BadInput


def any_text(typed: str) -> str:
    """A check that lets everything pass and says nothing."""
    del typed
    return ""


@dataclass(frozen=True, slots=True)
class Field:
    """One field. `check` says what was understood, or raises BadInput with words.

    help -- what the field takes, for F1; example -- something that may be typed there.
    """

    name: str
    label: str
    value: str = ""
    hint: str = ""
    required: bool = True
    check: Callable[[str], str] = any_text
    help: str = field(kw_only=True)
    example: str = field(kw_only=True)


@dataclass(frozen=True, slots=True)
class Remark:
    """What is to be shown beside a field in the light of the others.

    proposed -- what Tab puts in the field instead.
    asks -- it is only doubted: a question comes before it is saved as typed.
    """

    words: str
    proposed: str = ""
    asks: bool = False


class WrongField(BadInput):
    """What was typed in one field cannot be; the words stand beside it."""

    def __init__(self, field: str, words: str) -> None:
        super().__init__(words)
        self.field = field
