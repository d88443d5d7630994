"""What is half typed or set where no form is: there again when it is next opened, after a kill too.

A sheet says what stands in it as values by name, and takes such values back.
"""

from collections.abc import Mapping
from typing import ClassVar, TypeVar

from textual import on
from textual.app import App
from textual.binding import Binding, BindingType
from textual.widgets import Input

from logbook.screen.dialogs.form import HoldsDrafts
from logbook.screen.services.form_draft import FormDraft, draft_lines, read_draft
from logbook.screen.widgets.modal import Modal

T = TypeVar("T")
R = TypeVar("R")


class TypedDraft:
    """The draft of one place; what stands there as it was proposed is none."""

    def __init__(self, app: App[object], place: str, proposed: Mapping[str, str]) -> None:
        self._holder = app if isinstance(app, HoldsDrafts) else None
        self._draft: FormDraft | None = self._holder.form_draft(place) if self._holder else None
        self._proposed = dict(proposed)
        self._noted: dict[str, str] = {}

    @property
    def holds(self) -> bool:
        """Whether anything was changed from what was proposed."""
        return bool(self._noted)

    def left(self) -> tuple[dict[str, str], str]:
        """What was left there, with words that say when; nothing and "" if nothing was."""
        left = read_draft(self._draft.left() if self._draft is not None else ())
        self._noted = self._changed(left.values)
        if not self._noted or self._holder is None:
            return {}, ""
        when = self._holder.when_words(left.left_utc)
        return self._proposed | self._noted, f"As you left it{when}."

    def note(self, values: Mapping[str, str]) -> None:
        """Put what stands there now."""
        changed = self._changed(values)
        if self._draft is not None and self._holder is not None and changed != self._noted:
            self._noted = changed
            self._draft.put(draft_lines(changed, self._holder.now()))

    def cleared_with(self, result: R) -> R:
        """What it came to: a job empties the draft as it is saved, anything else at once."""
        draft, self._draft = self._draft, None  # what comes late is no draft any more
        return result if draft is None else draft.cleared_with(result)

    def _changed(self, values: Mapping[str, str]) -> dict[str, str]:
        return {name: text for name, text in values.items() if text != self._proposed.get(name)}


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

    def leave(self) -> None:
        """Close; what was typed or set stays a draft."""
        if self.draft.holds and isinstance(self.app, HoldsDrafts):
            heading = self.draft_heading or "the sheet"
            self.app.say_left(f"Not saved: {heading}. It is there as you left it.")
        self.dismiss(None)

    def finish(self, result: T) -> None:
        """Close with what it came to; nothing is half typed any more."""
        self.dismiss(self.draft.cleared_with(result))
