"""Half-typed text and last choices: the two things of a book that are overwritten."""

from collections.abc import Callable, Collection, Sequence
from datetime import datetime

from sqlalchemy import ColumnElement, delete, select
from sqlalchemy.orm import Session

from logbook.entryline.waiting_line import read_draft_line
from logbook.records import checks
from logbook.records.check_entry import LONGEST_LINE
from logbook.records.typed_line import TypedLine
from logbook.store.file.window import is_open
from logbook.store.session.sessions import Sessions
from logbook.store.tables.models import ChoiceRow, DraftRow, TypedRow
from logbook.store.tables.plain_sql import connection_of, first_row
from logbook.text import printable

_NAME_LENGTH = 60
_CHOICE_LENGTH = 400
_FIRST_TYPED = (
    "SELECT position, text FROM typed WHERE window = ? AND place = ? ORDER BY position LIMIT 1"
)
_DELETE_TYPED = "DELETE FROM typed WHERE window = ? AND place = ? AND position = ?"


class Drafts:
    """Lines that are half typed or wait to be saved, there again after a kill.

    Each window of the program has its own, by the place they are typed in, so that none writes
    over what is half typed in another.
    """

    def __init__(
        self,
        sessions: Sessions,
        clock: Callable[[], datetime],
        is_open: Callable[[str], bool] = is_open,
    ) -> None:
        self._sessions = sessions
        self._clock = clock
        self._is_open = is_open

    def get(self, window: str, place: str) -> tuple[str, ...]:
        """The lines of a place in one window, the first one first."""
        of_window = (TypedRow.window == window, TypedRow.place == place)
        with self._sessions.reading() as session:
            rows = session.scalars(select(TypedRow).where(*of_window).order_by(TypedRow.position))
            return tuple(row.text for row in rows)

    def at(self, place: str) -> tuple[str, ...]:
        """The lines of a place in every window, those of one window together."""
        with self._sessions.reading() as session:
            return (*_old_lines(session, place), *(row.text for row in _rows(session, place)))

    def reachable(self, window: str, place: str) -> dict[str, tuple[str, ...]]:
        """The lines of a place by window: of this one and of those that have ended.

        The window that typed there first comes first. Nothing is written.
        """
        found: dict[str, tuple[str, ...]] = {}
        with self._sessions.reading() as session:
            for row in _rows(session, place):
                found[row.window] = (*found.get(row.window, ()), row.text)
        return {name: found[name] for name in found if name == window or not self._is_open(name)}

    def put(
        self,
        window: str,
        place: str,
        lines: Sequence[str],
        instead_of: Collection[str] = (),
    ) -> None:
        """Put these lines in the place of those before, spaces and all, without empty ones.

        instead_of -- windows that have ended, whose lines there these replace too.

        At most 4,000 characters of each. Raises NotWritten at once if another program writes.
        """
        with self._sessions.writing(at_once=True) as session:
            of_ended = (TypedRow.window.in_(instead_of), TypedRow.place == place)
            session.execute(delete(TypedRow).where(*of_ended))
            self._put(session, window, place, lines)

    def take_over(self, place: str, window: str) -> tuple[str, ...]:
        """What windows that have ended left at a place, each line by itself: this window's now.

        Raises NotWritten at once if another program writes.
        """
        if not self.at(place):
            return ()
        with self._sessions.writing(at_once=True) as session:
            left = [
                row
                for row in _rows(session, place)
                if row.window != window and not self._is_open(row.window)
            ]
            own = [row.text for row in _rows(session, place) if row.window == window]
            lines = (*_old_lines(session, place), *(row.text for row in left))
            if not lines:
                return ()
            session.execute(delete(DraftRow).where(_of_old_place(place)))
            for row in left:
                session.delete(row)
            self._put(session, window, place, (*own, *lines))
        return lines

    def clear(self, window: str, place: str) -> None:
        """Forget what was being typed there."""
        self.put(window, place, ())

    def _put(self, session: Session, window: str, place: str, lines: Sequence[str]) -> None:
        of_window = (TypedRow.window == window, TypedRow.place == place)
        session.execute(delete(TypedRow).where(*of_window))
        kept = (printable(line)[:LONGEST_LINE] for line in lines if line.strip())
        now = self._clock()
        for position, text in enumerate(kept):
            row = TypedRow(window=window, place=place, position=position)
            row.text, row.updated_utc = text, now
            session.add(row)
        session.flush()


def _rows(session: Session, place: str) -> list[TypedRow]:
    """The rows of a place: the window that typed there first comes first."""
    rows = list(session.scalars(select(TypedRow).where(TypedRow.place == place)))
    since = {row.window: row.updated_utc for row in rows if row.position == 0}
    return sorted(
        rows, key=lambda row: (since.get(row.window, row.updated_utc), row.window, row.position)
    )


def _of_old_place(place: str) -> ColumnElement[bool]:
    return DraftRow.slot.startswith(place, autoescape=True)


def _old_lines(session: Session, place: str) -> list[str]:
    """What an older program left half typed at a place: it had one line for each window."""
    rows = select(DraftRow).where(_of_old_place(place)).order_by(DraftRow.updated_utc)
    return [row.text for row in session.scalars(rows) if row.text.strip()]


def clear_draft(session: Session, line: TypedLine) -> None:
    """Take a line that is an entry now out of its drafts; what was typed after it stays."""
    of_window = (line.window, line.place)
    first = first_row(session, _FIRST_TYPED, *of_window)
    # A draft lags behind: it may hold half the line.
    if first is not None:
        typed = read_draft_line(first[1]).text.rstrip()
        if printable(line.text).startswith(typed):
            connection_of(session).exec_driver_sql(_DELETE_TYPED, (*of_window, first[0]))


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
        key = checks.line(name, "the choice's name", _NAME_LENGTH, wanted=True)
        kept = checks.line(value, "the choice", _CHOICE_LENGTH)
        with self._sessions.writing(f"the choice of {key}: {kept}") as session:
            row = session.get(ChoiceRow, key) or ChoiceRow(name=key)
            row.value = kept
            row.updated_utc = self._clock()
            session.add(row)
