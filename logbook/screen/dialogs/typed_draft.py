"""What is half typed in one place of the screen, until it is saved."""

from collections.abc import Mapping
from datetime import datetime
from typing import Protocol, TypeVar, runtime_checkable

from textual.app import App

from logbook.screen.services.form_draft import FormDraft, draft_lines, read_draft

R = TypeVar("R")


@runtime_checkable
class HoldsDrafts(Protocol):
    """An app that saves what is half typed in forms."""

    def form_draft(self, place: str) -> FormDraft | None:
        """The draft of that place; None while there is no book."""
        ...

    def now(self) -> datetime:
        """The time by the app's clock."""
        ...

    def when_words(self, instant: datetime | None) -> str:
        """When that was, to follow a verb: ` at 21:14`; how long ago, if before this night."""
        ...

    def say_left(self, words: str) -> None:
        """Say what became of a form that was left."""
        ...

    def warn(self, words: str) -> None:
        """Say something that stays until it is dismissed."""
        ...


class TypedDraft:
    """The draft of one place; what stands there as it was proposed is none."""

    def __init__(
        self,
        app: App[object],
        place: str,
        proposed: Mapping[str, str],
        before_book: FormDraft | None = None,
    ) -> None:
        """before_book -- where it is saved while there is no book."""
        self._holder = app if isinstance(app, HoldsDrafts) else None
        held = self._holder.form_draft(place) if self._holder else None
        self._draft: FormDraft | None = before_book or held
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
