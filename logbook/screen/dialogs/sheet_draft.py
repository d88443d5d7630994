"""What is half typed or set where no form is: there again when it is next opened, after a kill too.

A sheet says what stands in it as values by name, and takes such values back.
"""

from collections.abc import Mapping
from typing import ClassVar, TypeVar

from textual import on
from textual.binding import Binding, BindingType
from textual.widgets import Input

from logbook.screen.dialogs.typed_draft import HoldsDrafts, TypedDraft
from logbook.screen.widgets.modal import Modal

T = TypeVar("T")


class DraftedSheet(Modal[T]):
    """A sheet that is no form and keeps a draft all the same.

    draft_about -- what it is about, by ids, since names change.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+l", "empty", "Empty", tooltip="As it was before anything was typed"),
    ]
    draft_about = ""
    draft_heading = ""

    def draft_values(self) -> dict[str, str]:
        """What stands in the sheet now, by name."""
        return {each.id or "": each.value for each in self.query(Input)}

    def take_values(self, values: Mapping[str, str]) -> None:
        """Fill the sheet with what stood there."""
        for each in self.query(Input):
            each.value = values.get(each.id or "", each.value)
            each.cursor_position = len(each.value)

    def say_left(self, words: str) -> None:
        """Say that the sheet is as it was left; "" once it is not."""

    def open_draft(self) -> None:
        """Fill the sheet with what was left of it. Call it once it is made."""
        self._proposed_values = self.draft_values()
        place = f"sheet:{type(self).__name__}:{self.draft_about}"
        self.draft = TypedDraft(self.app, place, self._proposed_values)
        values, words = self.draft.left()
        if values:
            self.take_values(values)
            self.say_left(f"{words} ctrl+l empties it.")
        self._opened_with = self.draft_values()

    def give_way(self) -> None:
        """Its draft is as it was when the sheet was opened."""
        self.draft.note(self._opened_with)
        super().give_way()

    @on(Input.Changed)
    def note_draft(self) -> None:
        """Something was typed or set."""
        self.draft.note(self.draft_values())

    def action_empty(self) -> None:
        self.take_values(self._proposed_values)
        self.note_draft()
        self.say_left("")

    def action_leave(self) -> None:
        """Close; what was typed or set stays a draft."""
        if self.draft.holds and isinstance(self.app, HoldsDrafts):
            heading = self.draft_heading or "the sheet"
            self.app.say_left(f"Not saved: {heading}. It is there as you left it.")
        self.dismiss(None)

    def finish(self, result: T) -> None:
        """Close with what it came to; nothing is half typed any more."""
        self.dismiss(self.draft.cleared_with(result))
