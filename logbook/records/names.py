"""Names that are taken: one check for parts, trains, sites and sets of limits, in one wording."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from logbook.errors import BadInput
from logbook.text import fold

Sort = Literal["part", "train", "site", "set"]


@dataclass(frozen=True, slots=True)
class Named:
    """Something that bears a name. id -- None for what the book has no row of yet."""

    id: int | None
    name: str
    retired: bool = False


@dataclass(frozen=True, slots=True)
class TakenNames:
    """The names that things of one sort bear."""

    what: Sort
    bearers: tuple[Named, ...] = ()

    @classmethod
    def of(cls, what: Sort, bearers: Iterable[Named]) -> "TakenNames":
        """The names of these bearers, all of one sort."""
        return cls(what, tuple(bearers))

    def besides(self, own_id: int | None) -> "TakenNames":
        """Without the one that is renamed: it may keep its name."""
        others = tuple(each for each in self.bearers if own_id is None or each.id != own_id)
        return TakenNames(self.what, others)

    def besides_name(self, name: str) -> "TakenNames":
        """The same for what may have no row of its own yet."""
        others = tuple(each for each in self.bearers if each.name != name)
        return TakenNames(self.what, others)

    def refuse(self, name: str) -> str:
        """Raises BadInput for a name that is taken, in any case and with or without accents.

        Returns "", so that it can be the check of a field.
        """
        for each in self.bearers:
            if fold(each.name) == fold(name):
                by = f" by a retired {self.what}" if each.retired else ""
                raise BadInput(f"{each.name} is taken{by}: choose another name")
        return ""


ALL_FREE = TakenNames("part")
