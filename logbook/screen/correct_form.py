"""Correct an entry: its words as typed, to be typed better. The old ones are kept."""

from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.screen import night_flow
from logbook.screen.desk import Desk
from logbook.screen.form import Field, Form
from logbook.screen.jobs import Job
from logbook.screen.reading import read_again, surroundings_then
from logbook.store.correcting import corrected, retimed
from logbook.store.line import timed_again
from logbook.store.line_around import Unclear
from logbook.store.line_times import time_words
from logbook.store.words import spell

if TYPE_CHECKING:
    from logbook.store.records import EntryRecord, NewEntry


class CorrectForm(Form[Job]):
    """The line as it was typed; with its time before it."""

    DEFAULT_CSS = """
    CorrectForm .field { height: auto; layout: vertical; }
    CorrectForm .field Input { width: 100%; }
    CorrectForm .field-label { display: none; }
    CorrectForm .field-said { width: 100%; height: auto; }
    """

    def __init__(self, desk: Desk, record: "EntryRecord") -> None:
        self._desk = desk
        self._record = record
        entry = record.content
        self._line = timed_again(entry.text, entry.happened_utc, str(desk.zone))
        self._before = read_again(desk, self._line, record).entry
        field = Field(
            "line",
            "The line",
            self._line,
            check=self._said,
            help="The entry as a line, with its time before it: change what was wrong.",
            example="22:15 seeing 3/5",
        )
        intro = "Time and words may both be changed; what they do not speak of stays."
        super().__init__("Correct an entry; the old text is kept", [field], intro)

    def answer(self, values: dict[str, str]) -> Job:
        typed = values["line"]
        if typed == self._line:
            raise BadInput("nothing is different: change the line, or Escape")
        entry, said = self._changed(typed)
        return night_flow.correct_entry(self._record.id, entry, said)

    def _said(self, typed: str) -> str:
        if typed == self._line:
            return self._spoken(self._record.content)
        return self._changed(typed)[1]

    def _changed(self, typed: str) -> "tuple[NewEntry, str]":
        """The entry as the line has it now, and what to say of it. Raises BadInput."""
        own = self._record.content
        try:
            moved = retimed(own, self._line, typed, surroundings_then(self._desk, self._record))
        except Unclear as problem:
            raise BadInput(str(problem)) from problem
        if moved is not None:
            return moved, self._spoken(moved)
        understood = read_again(self._desk, typed, self._record)
        if understood.entry is None:
            raise BadInput(understood.problem or "type what happened")
        entry = corrected(own, self._before, understood.entry)
        if entry == understood.entry:  # with what was read as what
            return entry, understood.said + _of_object(entry)
        return entry, self._spoken(entry)

    def _spoken(self, entry: "NewEntry") -> str:
        when = time_words(entry.happened_utc, str(self._desk.zone))
        return f"{spell(entry)} · {when}{_of_object(entry)}"


def _of_object(entry: "NewEntry") -> str:
    """The object of frames, which their words do not name."""
    return f" · of {entry.target.name}" if entry.frames and entry.target else ""
