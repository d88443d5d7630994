"""The names of the pages of looking back, by which they lead to each other."""

import shlex
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PageKey:
    """One page. `id` is the book's own number of the night, part or train, where it is known.

    name -- a night's date ("2026-11-09"); for "compare" two, the one to go by first, or one alone
        to set it beside the last good night before it; the name of an object, part or train; a
        year ("2026"); for "trends" "" for the last years, "all", a year or two.
    """

    kind: str
    name: str
    id: int | None = None

    @property
    def words(self) -> str:
        """What to call the page in a list."""
        if self.kind == "compare":
            one, _, other = self.name.partition(" ")
            return f"{other} beside {one}" if other else f"{one} beside the last good night"
        return self.kind if not self.name else f"{self.kind} {self.name}"

    @property
    def command(self) -> str:
        """What to type in a shell to read it."""
        several = self.kind in ("compare", "trends")
        names = self.name.split() if several else [self.name]
        return shlex.join(["logbook", self.kind, *filter(None, names)])
