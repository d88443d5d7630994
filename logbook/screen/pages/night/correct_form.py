"""Correct an entry: its words as typed, to be typed better. The old ones stay in the book."""

from typing import TYPE_CHECKING

from logbook.entryline.context import Unclear
from logbook.entryline.correct import corrected, retimed
from logbook.entryline.format import spell
from logbook.entryline.times import time_words
from logbook.entryline.understand import timed_again
from logbook.errors import BadInput
from logbook.screen.dialogs.confirm_time import Doubting
from logbook.screen.dialogs.field import Field
from logbook.screen.services import jobs
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.screen.services.understand_line import read_again, surroundings_then
from logbook.store.night_context import not_in_night

if TYPE_CHECKING:
    from logbook.records.entries import EntryRecord, NewEntry
    from logbook.store.night_context import NightContext


class CorrectForm(Doubting):
    """The line as it was typed; with its time before it.

    context -- the night of the entry, where that is not the one in progress.
    """

    DEFAULT_CSS = """
    CorrectForm .field { height: auto; layout: vertical; }
    CorrectForm .field Input { width: 100%; }
    CorrectForm .field-label { display: none; }
    CorrectForm .field-said { width: 100%; height: auto; }
    """

    def __init__(
        self, desk: Desk, record: "EntryRecord", context: "NightContext | None" = None
    ) -> None:
        self._desk = desk
        self._record = record
        self._night_context = context
        self._zone = str(desk.zone) if context is None else context.time_zone
        entry = record.content
        self._line = timed_again(entry.text, entry.happened_utc, self._zone)
        self._before = read_again(desk, self._line, record, context).entry
        field = Field(
            "line",
            "The line",
            self._line,
            check=self._said,
            help="The entry as a line, with its time before it: change what was wrong.",
            example="22:15 seeing 3/5",
        )
        intro = "Time and words may both be changed; what they do not speak of stays."
        heading = "Correct an entry; the old text is kept"
        if context is not None:
            heading = f"Correct an entry of the night of {context.night.local_date}"
        super().__init__(heading, [field], intro, about=f"{record.id}")

    def answer(self, values: dict[str, str]) -> Job:
        typed = values["line"]
        if typed == self._line:
            raise BadInput("nothing is different: change the line, or Escape")
        entry, said = self._changed(typed)
        if (
            self._night_context is not None
            and entry.happened_utc != self._record.content.happened_utc
        ):
            self.doubt_time(self._night_context.night, entry.happened_utc)
        return jobs.correct_entry(self._record.id, entry, said)

    def _said(self, typed: str) -> str:
        if typed == self._line:
            return self._spoken(self._record.content)
        return self._changed(typed)[1]

    def _changed(self, typed: str) -> "tuple[NewEntry, str]":
        """The entry as the line has it now, and what to say of it. Raises BadInput."""
        entry, said = self._read_changed(typed)
        if self._night_context is not None and not self._night_context.holds(entry.happened_utc):
            raise BadInput(not_in_night(self._night_context.night))
        return entry, said

    def _read_changed(self, typed: str) -> "tuple[NewEntry, str]":
        own = self._record.content
        try:
            around = surroundings_then(self._desk, self._record, self._night_context)
            moved = retimed(own, self._line, typed, around)
        except Unclear as problem:
            raise BadInput(str(problem)) from problem
        if moved is not None:
            return moved, self._spoken(moved)
        understood = read_again(self._desk, typed, self._record, self._night_context)
        if understood.entry is None:
            raise BadInput(understood.problem or "type what happened")
        entry = corrected(own, self._before, understood.entry)
        if entry == understood.entry:  # with what was read as what
            return entry, understood.said + _of_object(entry)
        return entry, self._spoken(entry)

    def _spoken(self, entry: "NewEntry") -> str:
        when = time_words(entry.happened_utc, self._zone)
        return f"{spell(entry)} · {when}{_of_object(entry)}"


def _of_object(entry: "NewEntry") -> str:
    """The object of frames, which their words do not name."""
    return f" · of {entry.target.name}" if entry.frames and entry.target else ""
