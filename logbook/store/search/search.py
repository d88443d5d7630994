"""Searching every word ever logged."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Integer,
    Select,
    column,
    func,
    literal_column,
    or_,
    select,
    table,
    text,
)
from sqlalchemy.orm import Session

from logbook.errors import BadInput
from logbook.records.search import COUNTED_TO, Counted, Found, Loosened, Wanted
from logbook.store.search.counts import counted
from logbook.store.search.filters import (
    conditions,
    happened_between,
    refuse_impossible,
    stands_among_many,
)
from logbook.store.search.former_names import phrasings
from logbook.store.search.other_tables import elsewhere
from logbook.store.search.rows import COLUMNS, hits_of, object_names
from logbook.store.search.suggestions import loosened
from logbook.store.search.words import Looked, best_matches, is_unspaced, match_of, words_wanted
from logbook.store.session.sessions import Sessions
from logbook.store.tables.models import EntryRow, NightRow, TargetRow
from logbook.store.timeline.night_sums import is_current

_WORDS = table("entry_words", column("rowid", Integer))
# With a plus SQLite goes through the hits of a word; without it asks the index for each entry.
_WORDS_ID = literal_column("+entry_words.rowid", Integer)
_HAS_INDEX = text("SELECT count(*) FROM sqlite_master WHERE name = 'entry_words'")


class Search:
    """Finds lines of the timeline by their words.

    A line is found as it stands, and if only an earlier writing of it holds the words, as it was.
    """

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions

    def find(self, wanted: Wanted, most: int = COUNTED_TO, *, best_first: bool = False) -> Found:
        """What is wanted, newest first. Raises BadInput, and NotFound for an unknown name.

        best_first -- lines with the words as typed in a row come first, then whole words, then
            beginnings; the newest of each first.
        Words beside the timeline are looked for where nothing but words is asked for.
        """
        words = _checked(wanted)
        with self._sessions.reading() as session:
            slow = bool(words) and not session.scalar(_HAS_INDEX)
            if slow:
                rows = list(_read_through(session, wanted, words, most + 1))
            else:
                rows = _rows(session, wanted, words, most + 1, best_first=best_first)
            hits = hits_of(session, rows[:most], best_first=best_first)
            found = elsewhere(session, words) if words and not wanted.is_narrowed else ()
        return Found(hits, more=len(rows) > most, elsewhere=found, slow=slow)

    def counted(self, wanted: Wanted, what: str) -> tuple[Counted, ...]:
        """Which values a filter may have among what is wanted, most lines first; years in order.

        what -- "kind", "object", "part", "train" or "year". Raises BadInput, NotFound.
        Without an index of words they are those of the whole book.
        """
        refuse_impossible(wanted)
        words = words_wanted(wanted.words)
        with self._sessions.reading() as session:
            if words and not session.scalar(_HAS_INDEX):
                words, wanted = (), Wanted()
            asked = _Asked.of(phrasings(session, words))

            def choose(*columns: Any, only_kind: str = "") -> Select[*tuple[Any, ...]]:
                within = replace(wanted, kinds=(only_kind,)) if only_kind else wanted
                chosen = _chosen(session, within, asked, *columns)
                return chosen.where(stands_among_many()).order_by(None)

            return counted(session, what, choose, wanted.kinds)

    def loosened(self, wanted: Wanted) -> tuple[Loosened, ...]:
        """What to loosen in a search that finds nothing, nearest first; up to 0.2 s of work."""
        return loosened(self._sessions, self.find, wanted)

    def has_entries(self) -> bool:
        """Whether anything was ever logged."""
        with self._sessions.reading() as session:
            return session.scalar(select(EntryRow.id).limit(1)) is not None


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the database is asked: a question to the index, and words to be found anywhere.

    by_words -- earlier writings are looked at too.
    """

    match: str = ""
    held: tuple[str, ...] = ()
    by_words: bool = True

    @classmethod
    def of(cls, phrased: tuple[tuple[str, ...], ...]) -> "_Asked":
        """phrased -- the words as typed, then with names as they are or were."""
        words = phrased[0]
        held = tuple(word for word in words if is_unspaced(word))
        matches = [
            match_of(tuple(word for word in each if not is_unspaced(word))) for each in phrased
        ]
        match = matches[0] if len(matches) == 1 else " OR ".join(f"({each})" for each in matches)
        return cls(match, held, by_words=bool(words))


def _checked(wanted: Wanted) -> tuple[str, ...]:
    """The words that are wanted. Raises BadInput where there is nothing to search for."""
    if wanted.is_empty:
        raise BadInput("Say what to search for: a word, a kind, an object, a part or a date.")
    refuse_impossible(wanted)
    words = words_wanted(wanted.words)
    if wanted.words.strip() and not words:
        raise BadInput("Say what to search for: a word has a letter or a digit in it.")
    return words


def _rows(
    session: Session, wanted: Wanted, words: tuple[str, ...], most: int, *, best_first: bool
) -> list[Any]:
    """Rows of COLUMNS: by words the newest saved first, else the newest that happened."""
    asked = _Asked.of(phrasings(session, words))
    rows = list(session.execute(_chosen(session, wanted, asked, *COLUMNS).limit(most)))
    if not best_first or not words:
        return rows
    if len(rows) < most:  # all there are
        objects = object_names(session)
        looked = Looked(words)
        return sorted(rows, key=lambda row: looked.rank(_text(row, objects)))
    best: dict[int, Any] = {}
    for match in best_matches(tuple(word for word in words if not is_unspaced(word))):
        statement = _chosen(session, wanted, replace(asked, match=match), *COLUMNS)
        best.update({row.id: row for row in session.execute(statement.limit(most - len(best)))})
        if len(best) >= most:
            break
    best.update({row.id: row for row in rows if row.id not in best})
    return list(best.values())[:most]


def _text(row: Any, objects: dict[int, str]) -> str:
    """What the index holds of a line."""
    return f"{row.text} {objects.get(row.target_id, '')}"


def _chosen(
    session: Session, wanted: Wanted, asked: _Asked, *columns: Any
) -> Select[*tuple[Any, ...]]:
    """The lines that are wanted, in the order in which an index gives them unsorted."""
    statement = select(*columns)
    if asked.match:
        statement = (
            statement.select_from(_WORDS)
            .join(EntryRow, EntryRow.id == _WORDS_ID)
            .where(literal_column("entry_words").op("MATCH")(asked.match))
            .where(*_kept_between(session, wanted))
            .where(*conditions(session, wanted, _WORDS_ID), *_held(asked, _WORDS_ID))
            .order_by(_WORDS.c.rowid.desc())
        )
    elif asked.by_words:
        statement = (
            statement.select_from(EntryRow)
            .where(*_held(asked), *happened_between(wanted), *conditions(session, wanted))
            .order_by(EntryRow.id.desc())
        )
    else:
        statement = (
            statement.select_from(EntryRow)
            .where(is_current(), *happened_between(wanted), *conditions(session, wanted))
            .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
        )
    return statement.outerjoin(NightRow, NightRow.id == EntryRow.night_id)


def _held(asked: _Asked, entry_id: ColumnElement[int] | None = None) -> list[ColumnElement[bool]]:
    """That a line or its object's name holds the words of scripts without spaces anywhere."""
    held = [
        or_(
            EntryRow.text.contains(word, autoescape=True),
            EntryRow.target_id.in_(
                select(TargetRow.id).where(TargetRow.name.contains(word, autoescape=True))
            ),
        )
        for word in asked.held
    ]
    if entry_id is None or not held:
        return held
    return [entry_id.in_(select(EntryRow.id).where(*held))]


def _kept_between(session: Session, wanted: Wanted) -> list[ColumnElement[bool]]:
    """Bounds on the index of words, so that an early year isn't searched for through all others.

    Entries are mostly saved in the order in which they happened; where they were not, as after the
    import of an old season, the ids themselves are the bounds.
    """
    if wanted.first is None and wanted.last is None:
        return []
    happened = happened_between(wanted)
    ids = select(func.min(EntryRow.id), func.max(EntryRow.id), func.count()).where(*happened)
    low, high, count = session.execute(ids).one()
    if not count:
        return [_WORDS.c.rowid.between(0, 0)]
    bounds: list[ColumnElement[bool]] = [_WORDS.c.rowid.between(low, high)]
    if high - low > 2 * count:
        bounds.append(_WORDS_ID.in_(select(EntryRow.id).where(*happened)))
    return bounds


def _read_through(
    session: Session, wanted: Wanted, words: tuple[str, ...], most: int
) -> Iterator[Any]:
    """The same without an index of words: every line is read, the newest first."""
    statement = _chosen(session, wanted, _Asked(), *COLUMNS).execution_options(yield_per=1000)
    looked = [Looked(each) for each in phrasings(session, words)]
    objects = object_names(session)
    found = 0
    for row in session.execute(statement):
        text = _text(row, objects)
        if any(each.holds(text) for each in looked):
            found += 1
            yield row
        if found >= most:
            return
