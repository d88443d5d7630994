"""A line that was typed, where it was."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TypedLine:
    """A line as it was typed, and where: once it is an entry, it is no draft any more."""

    window: str
    place: str
    text: str
