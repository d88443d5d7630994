"""Half-typed text and last choices: the two things of a book that are overwritten."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.store import checks
from logbook.store.engine import Sessions
from logbook.store.entry_checks import LONGEST_LINE
from logbook.store.models import ChoiceRow, DraftRow
from logbook.text import BETWEEN_LINES, as_one_line, printable

_SLOT_LENGTH = 60
_CHOICE_LENGTH = 400


class Drafts:
    """Half-typed text by the place it was typed in, there again after a kill.

    Programs on one book have a slot each, "place" and a word of their own, so that neither writes
    over what is half typed in the other.
    """

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def get(self, slot: str) -> str:
        """What was being typed there; "" if nothing."""
        with self._sessions.reading() as session:
            row = session.get(DraftRow, slot)
            return "" if row is None else row.text

    def put(self, slot: str, text: str) -> None:
        """Keep what is being typed, spaces and all, at most 4,000 characters of it."""
        name = checks.line(slot, "the draft's place", _SLOT_LENGTH, wanted=True)
        kept = printable(text)[:LONGEST_LINE]
        with self._sessions.writing() as session:
            row = session.get(DraftRow, name) or DraftRow(slot=name)
            row.text = kept
            row.updated_utc = self._clock()
            session.add(row)

    def at(self, place: str) -> str:
        """What was being typed at a place, in whichever program, as one line."""
        with self._sessions.reading() as session:
            return as_one_line(*(row.text for row in _rows(session, place)))

    def take_over(self, place: str, slot: str) -> str:
        """The same, kept under this slot alone from now on. Raises NotWritten.

        Another program that still runs puts its own text again at its next key.
        """
        text = self.at(place)
        if not text:
            return ""
        with self._sessions.writing() as session:
            for row in _rows(session, place):
                session.delete(row)
            session.flush()
            session.add(DraftRow(slot=slot, text=text[:LONGEST_LINE], updated_utc=self._clock()))
        return text

    def clear(self, slot: str) -> None:
        """Forget what was being typed there."""
        with self._sessions.writing() as session:
            row = session.get(DraftRow, slot)
            if row is not None:
                session.delete(row)


def _rows(session: Session, place: str) -> list[DraftRow]:
    begins = DraftRow.slot.startswith(place, autoescape=True)
    return list(session.scalars(select(DraftRow).where(begins).order_by(DraftRow.updated_utc)))


@dataclass(frozen=True, slots=True)
class TypedLine:
    """A line as it was typed, and the place it was typed in: once kept, it is no draft any more."""

    slot: str
    text: str


def clear_draft(session: Session, line: TypedLine) -> None:
    """Take a line that is an entry now out of its draft; what was typed after it stays."""
    row = session.get(DraftRow, line.slot)
    if row is None:
        return
    kept = printable(line.text)
    if kept.startswith(row.text.rstrip()):  # a draft lags behind: it may hold half the line
        session.delete(row)
    elif row.text.startswith(kept + BETWEEN_LINES):
        row.text = row.text.removeprefix(kept + BETWEEN_LINES)


class Choices:
    """What was last chosen (site, train, view), proposed at the next start."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def get(self, name: str) -> str | None:
        with self._sessions.reading() as session:
            row = session.get(ChoiceRow, name)
            return None if row is None else row.value

    def put(self, name: str, value: str) -> None:
        key = checks.line(name, "the choice's name", _SLOT_LENGTH, wanted=True)
        kept = checks.line(value, "the choice", _CHOICE_LENGTH)
        with self._sessions.writing() as session:
            row = session.get(ChoiceRow, key) or ChoiceRow(name=key)
            row.value = kept
            row.updated_utc = self._clock()
            session.add(row)
