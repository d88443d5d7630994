"""The steps in which a train is put together on the bench, and the parts that are left over."""

from collections.abc import Sequence

from logbook.kit.parts.part import Part, Train
from logbook.screen.pages.kit import draft as kit_draft
from logbook.screen.services.services import Desk


class Steps:
    """A train as it was and as it is after each step."""

    def __init__(self, first: Train, desk: Desk) -> None:
        self.first = first
        self._desk = desk
        self._steps = [first]

    @property
    def made(self) -> Train:
        """The train as it is put together so far."""
        return self._steps[-1]

    @property
    def taken(self) -> int:
        """How many steps were taken."""
        return len(self._steps) - 1

    def go_to(self, train: Train) -> bool:
        """One step further; whether it is one."""
        if train == self.made:
            return False
        self._steps.append(train)
        return True

    def back(self) -> bool:
        """Take back the last step; whether there was one."""
        if not self.taken:
            return False
        self._steps.pop()
        return True

    @property
    def shelf(self) -> tuple[Part, ...]:
        """The parts that are not in the train."""
        return kit_draft.shelf(self.made, self._desk.view.parts)

    def on_shelf(self, name: str | None) -> Part | None:
        """The part of that name, if it is not in the train."""
        return next((part for part in self.shelf if part.name == name), None)

    def with_parts(self, names: Sequence[str], after: str) -> Train:
        """The train with parts of the shelf, one behind the other."""
        train = self.made
        for name in names:
            part = self.on_shelf(name)
            if part is not None:
                train = kit_draft.added(train, part, after)
                after = part.name
        return train
