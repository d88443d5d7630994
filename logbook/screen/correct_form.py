"""Correct an entry: its words as typed, to be typed better. The old ones are kept."""

from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.screen import night_flow
from logbook.screen.desk import Desk
from logbook.screen.form import Field, Form
from logbook.screen.reading import read_line
from logbook.store.line_times import timed_again

if TYPE_CHECKING:
    from logbook.store.line_around import Understood
    from logbook.store.records import EntryRecord


class CorrectForm(Form[night_flow.Job]):
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
        line = timed_again(entry.text, entry.happened_utc, str(desk.zone))
        field = Field("line", "", line, check=self._said)
        intro = "Time and words may both be changed."
        super().__init__("Correct an entry; the old text is kept", [field], intro)

    def answer(self, values: dict[str, str]) -> night_flow.Job:
        understood = self._understand(values["line"])
        assert understood.entry is not None
        return night_flow.correct_entry(self._record.id, understood.entry, understood.said)

    def _said(self, typed: str) -> str:
        return self._understand(typed).said

    def _understand(self, typed: str) -> "Understood":
        """Raises BadInput with what is wrong."""
        understood = read_line(self._desk, typed)
        if understood.entry is None:
            raise BadInput(understood.problem or "type what happened")
        return understood
