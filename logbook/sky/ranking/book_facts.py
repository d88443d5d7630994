"""What a book knows of objects, as far as choosing needs it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True)
class BookFacts:
    """By the catalogue's ids.

    owed_hours -- hours that projects still want; 0 when all are done. Absent: no project.
    last_observed -- date of the last night it was observed.
    """

    owed_hours: Mapping[str, float] = field(default_factory=dict)
    last_observed: Mapping[str, date] = field(default_factory=dict)


NO_FACTS = BookFacts()
