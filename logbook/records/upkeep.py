"""Rules for upkeep and how far they have come, as plain values without the database."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class UpkeepRule:
    """When work falls due: at the first of its limits. At least one must be given.

    part_name -- None for work on no part in particular.
    every_hours_of_use -- of the nights in which the part was in use, from start to end.
    every_step_c -- air temperature changed by so much since the work was done.
    """

    action: str
    part_name: str | None = None
    every_nights: int | None = None
    every_months: int | None = None
    every_hours_of_use: float | None = None
    every_step_c: float | None = None
    after_transport: bool = False


@dataclass(frozen=True, slots=True)
class UpkeepRuleRecord:
    """A rule as the book holds it. `created_utc` is the day it counts from until it was done."""

    id: int
    uid: str
    rule: UpkeepRule
    created_utc: datetime


@dataclass(frozen=True, slots=True)
class Due:
    """How far a rule has come. `share` is 1 or more when it is due; `reasons` say it in numbers."""

    record: UpkeepRuleRecord
    share: float
    reasons: tuple[str, ...]
    last_done_utc: datetime | None = None
    snoozed_until_utc: datetime | None = None

    @property
    def is_due(self) -> bool:
        """Whether the rule has come to its end and was not put off."""
        return self.share >= 1 and self.snoozed_until_utc is None

    @property
    def line(self) -> str:
        """What to type once it is done."""
        return f"upkeep {self.name}"

    @property
    def name(self) -> str:
        """The part and what is to be done to it."""
        part = f"{self.record.rule.part_name}: " if self.record.rule.part_name else ""
        return f"{part}{self.record.rule.action}"
