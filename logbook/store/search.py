"""Searching every word ever logged."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

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
)
from sqlalchemy.orm import Session

from logbook.errors import BadInput, NotFound
from logbook.store import checks, timeline_rows
from logbook.store.engine import Sessions
from logbook.store.models import (
    EntryRow,
    NightRow,
    PartRevisionRow,
    TargetRow,
    TrainPartRow,
    TrainRevisionRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.night_sums import is_current
from logbook.store.parts import find_part
from logbook.store.records import ENTRY_KINDS, EntryRecord
from logbook.store.trains import named
from logbook.text import clean, fold

MOST_WORDS = 12
_A_DAY = timedelta(days=1)
_WORDS = table("entry_words", column("rowid", Integer))


@dataclass(frozen=True, slots=True)
class Wanted:
    """What to search for. Words may stand in any order, each may be the beginning of one.

    words -- "mirror rinsed"; words between double quotes must follow each other.
    first, last -- local dates of evenings, both included; an entry by day counts by its UTC date.
    """

    words: str = ""
    kinds: tuple[str, ...] = ()
    object_name: str = ""
    part_name: str = ""
    train_name: str = ""
    first: date | None = None
    last: date | None = None

    @property
    def is_empty(self) -> bool:
        return self == Wanted()


@dataclass(frozen=True, slots=True)
class Hit:
    """An entry that was found, and the evening of its night; None for one by day."""

    entry: EntryRecord
    night: date | None


@dataclass(frozen=True, slots=True)
class Found:
    """The newest entries found, newest first; `more` if there are others."""

    hits: tuple[Hit, ...]
    more: bool = False


class Search:
    """Finds entries that stand: what was corrected or withdrawn is found as it is now."""

    def __init__(self, sessions: Sessions) -> None:
        self._sessions = sessions

    def find(self, wanted: Wanted, most: int = 50) -> Found:
        """The newest entries that are wanted. Raises BadInput, and NotFound for an unknown name."""
        if wanted.is_empty:
            raise BadInput("Say what to search for: a word, a kind, an object, a part or a date.")
        for day in (wanted.first, wanted.last):
            if day is not None:
                checks.instant(_midnight(day), "the date")
        with self._sessions.reading() as session:
            found = session.execute(_statement(session, wanted).limit(most + 1)).all()
            nights = {row[0]: row[1] for row in found[:most]}
            entries = session.scalars(select(EntryRow).where(EntryRow.id.in_(nights))).all()
            records = timeline_rows.records_of(session, entries)
        places = {entry_id: place for place, entry_id in enumerate(nights)}
        newest = sorted(records, key=lambda record: places[record.id])
        hits = tuple(Hit(record, nights[record.id]) for record in newest)
        return Found(hits, more=len(found) > most)


def words_wanted(text: str) -> tuple[str, ...]:
    """The words, and the phrases between double quotes, of what was typed."""
    found: list[str] = []
    for place, piece in enumerate(clean(text, longest=400).split('"')):
        found += [piece.strip()] if place % 2 else piece.split()
    wanted = tuple(word for word in found if any(letter.isalnum() for letter in word))
    if len(wanted) > MOST_WORDS:
        raise BadInput(f"At most {MOST_WORDS} words can be searched for at once.")
    return wanted


def _match(text: str) -> str:
    """The words as FTS5 takes them: quoted, so that none is an operator, and open at the end."""
    return " ".join(f'"{word}"*' for word in words_wanted(text))


def _statement(session: Session, wanted: Wanted) -> Select[int, date | None]:
    """Newest first; with words by the order of keeping, which their index gives unsorted."""
    statement = select(EntryRow.id, NightRow.local_date)
    match = _match(wanted.words)
    if match:
        statement = (
            statement.select_from(_WORDS)
            .join(EntryRow, EntryRow.id == _WORDS.c.rowid)
            .where(literal_column("entry_words").op("MATCH")(match))
            .order_by(_WORDS.c.rowid.desc())
        )
        statement = statement.where(*_kept_between(session, wanted))
    else:
        statement = statement.order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
    with_night = statement.outerjoin(NightRow, NightRow.id == EntryRow.night_id)
    return with_night.where(is_current(), *_filters(session, wanted))


def _kept_between(session: Session, wanted: Wanted) -> tuple[ColumnElement[bool], ...]:
    """Bounds on the index of words, so that an early year isn't searched for through all others."""
    if wanted.first is None and wanted.last is None:
        return ()
    ids = select(func.min(EntryRow.id), func.max(EntryRow.id)).where(*_happened(wanted))
    low, high = session.execute(ids).one()
    return (_WORDS.c.rowid.between(low or 0, high or 0),)


def _happened(wanted: Wanted) -> list[ColumnElement[bool]]:
    """A day to either side holds every night of those dates, whatever the zone."""
    bounds: list[ColumnElement[bool]] = []
    if wanted.first is not None:
        bounds.append(EntryRow.happened_utc >= _midnight(wanted.first) - _A_DAY)
    if wanted.last is not None:
        bounds.append(EntryRow.happened_utc <= _midnight(wanted.last) + 3 * _A_DAY)
    return bounds


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


def _filters(session: Session, wanted: Wanted) -> list[ColumnElement[bool]]:
    filters: list[ColumnElement[bool]] = []
    if wanted.kinds:
        unknown = sorted(set(wanted.kinds) - set(ENTRY_KINDS))
        if unknown:
            raise BadInput(f"There is no kind {unknown[0]!r}. Kinds: {', '.join(ENTRY_KINDS)}")
        filters.append(EntryRow.kind.in_(wanted.kinds))
    if wanted.object_name:
        filters.append(EntryRow.target_id.in_(_targets(session, wanted.object_name)))
    if wanted.train_name:
        filters.append(EntryRow.train_revision_id.in_(_revisions(session, wanted.train_name)))
    if wanted.part_name:
        filters.append(_with_part(session, wanted.part_name))
    day = func.coalesce(NightRow.local_date, func.substr(EntryRow.happened_utc, 1, 10))
    if wanted.first is not None:
        filters.append(day >= wanted.first.isoformat())
    if wanted.last is not None:
        filters.append(day <= wanted.last.isoformat())
    return filters


def _targets(session: Session, name: str) -> list[int]:
    """Objects of the book whose name or catalogue number is this, else begins with it."""
    known = session.execute(select(TargetRow.id, TargetRow.name, TargetRow.catalogue_id)).all()
    typed = fold(name).replace(" ", "")
    keys = {
        row_id: [fold(each).replace(" ", "") for each in (shown, catalogue_id)]
        for row_id, shown, catalogue_id in known
    }
    same = [row_id for row_id, folded in keys.items() if typed in folded]
    begun = [row_id for row_id, folded in keys.items() if any(typed in each for each in folded)]
    if same or begun:
        return same or begun
    catalogue_id = _catalogue_id(name)
    alias = [row_id for row_id, _, known_id in known if known_id == catalogue_id]
    if not alias:
        raise NotFound(f"The book holds nothing of {clean(name, longest=60)!r}.")
    return alias


def _catalogue_id(name: str) -> str:
    """What the catalogue knows by that name; only asked where the book knows none."""
    from logbook.sky.finding import finder

    return finder().exact(name).id


def _revisions(session: Session, name: str) -> Select[int]:
    train_id = named(session, name).train_id
    return select(TrainRevisionRow.id).where(TrainRevisionRow.train_id == train_id)


def _with_part(session: Session, name: str) -> ColumnElement[bool]:
    """Entries on a part itself, and those of trains it was in."""
    part = find_part(session, name)
    if part is None:
        raise NotFound(f"There is no part {clean(name, longest=60)!r}.")
    held = (
        select(TrainPartRow.train_revision_id)
        .join(PartRevisionRow, PartRevisionRow.id == TrainPartRow.part_revision_id)
        .where(PartRevisionRow.part_id == part.part_id)
    )
    on_it = select(UpkeepRow.entry_id).where(UpkeepRow.part_id == part.part_id)
    turned = select(TurnRow.entry_id).where(TurnRow.telescope_id == part.part_id)
    return or_(
        EntryRow.train_revision_id.in_(held), EntryRow.id.in_(on_it), EntryRow.id.in_(turned)
    )
