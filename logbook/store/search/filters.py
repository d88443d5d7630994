"""What narrows a search: kinds, an object, a part, a train, dates; as conditions on entries.

A condition gives the set of entries that pass, which SQLite makes once and asks for each word's
hit. Joining the entry of every hit instead is three times as slow in a book of many years, so that
is only done where most entries pass and the newest are found at once.
"""

from datetime import UTC, date, datetime, timedelta

from sqlalchemy import ColumnElement, Select, func, or_, select, union_all
from sqlalchemy.orm import Session, aliased

from logbook.errors import BadInput, NotFound
from logbook.records import checks
from logbook.records.entries import ENTRY_KINDS
from logbook.records.search import Wanted
from logbook.sky.catalogue.name_search import finder
from logbook.store.kit.parts import newest_parts
from logbook.store.kit.trains import newest
from logbook.store.search.day_zone import begin_of_day
from logbook.store.tables.former_names import What, formerly
from logbook.store.tables.models import (
    EntryRow,
    NightRow,
    PartRevisionRow,
    TargetRow,
    TrainPartRow,
    TrainRevisionRow,
    TurnRow,
    UpkeepRow,
)
from logbook.text import clean, fold

_NEWER = aliased(EntryRow)
_A_DAY = timedelta(days=1)
_MANY = 0.3  # of all nights
_NAMES_TOLD = 6


def conditions(
    session: Session, wanted: Wanted, entry_id: ColumnElement[int] | None = None
) -> list[ColumnElement[bool]]:
    """What an entry must fulfil. Raises BadInput, and NotFound for an unknown name.

    entry_id -- the column with the ids of a word's hits; None in a statement that reads entries
        themselves. EntryRow and NightRow (an outer join) are in the statement.
    """
    found: list[ColumnElement[bool]] = []
    if wanted.object_name:
        targets = _targets(session, wanted.object_name)
        found.append(_among(entry_id, EntryRow.target_id.in_(targets)))
        entry_id = None  # of one object there are few, and these may be read
    if wanted.kinds:
        _refuse_unknown(wanted.kinds)
        found.append(_among(entry_id, EntryRow.kind.in_(wanted.kinds)))
    if wanted.train_name:
        found.append(_within(session, entry_id, _revisions(session, wanted.train_name)))
    if wanted.part_name:
        found.append(_with_part(session, entry_id, wanted.part_name))
    if wanted.first is not None:
        begins = begin_of_day(session, wanted.first)
        by_day = NightRow.id.is_(None) & (EntryRow.happened_utc >= begins)
        found.append((NightRow.local_date >= wanted.first) | by_day)
    if wanted.last is not None:
        ends = begin_of_day(session, wanted.last + _A_DAY)
        by_day = NightRow.id.is_(None) & (EntryRow.happened_utc < ends)
        found.append((NightRow.local_date <= wanted.last) | by_day)
    return found


def stands_among_many() -> ColumnElement[bool]:
    """True for an entry that stands; quicker than asking for each where all are counted."""
    replaced = select(_NEWER.supersedes_id).where(_NEWER.supersedes_id.is_not(None))
    return (EntryRow.kind != "withdrawn") & EntryRow.id.not_in(replaced)


def _among(
    entry_id: ColumnElement[int] | None, condition: ColumnElement[bool]
) -> ColumnElement[bool]:
    if entry_id is None:
        return condition
    return entry_id.in_(select(EntryRow.id).where(condition))


def refuse_impossible(wanted: Wanted) -> None:
    """Raise BadInput for a date no night can have."""
    for day in (wanted.first, wanted.last):
        if day is not None:
            checks.instant(_midnight(day), "the date")


def _refuse_unknown(kinds: tuple[str, ...]) -> None:
    unknown = sorted(set(kinds) - set(ENTRY_KINDS))
    if unknown:
        shown = clean(unknown[0], longest=40)
        raise BadInput(f"There is no kind {shown!r}. Kinds: {', '.join(ENTRY_KINDS[:-1])}")


def happened_between(wanted: Wanted) -> list[ColumnElement[bool]]:
    """A day to either side holds every night of those dates, whatever the zone."""
    bounds: list[ColumnElement[bool]] = []
    if wanted.first is not None:
        bounds.append(EntryRow.happened_utc >= _midnight(wanted.first) - _A_DAY)
    if wanted.last is not None:
        bounds.append(EntryRow.happened_utc <= _midnight(wanted.last) + 3 * _A_DAY)
    return bounds


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


def _targets(session: Session, name: str) -> list[int]:
    """Objects of the book whose name or catalogue number is this, else holds it."""
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
    return finder().exact(name).id


def _named(session: Session, name: str, known: dict[int, str], what: What) -> int:
    """The id of the last that is or was called so, or of the only one whose name holds it.

    Raises NotFound.
    """
    typed = fold(name)
    same = [each for each, shown in known.items() if fold(shown) == typed]
    former = None if same else formerly(session, what, name)
    if former is not None:
        return former
    near = same or [each for each, shown in known.items() if typed in fold(shown)]
    if len(near) == 1 or same:
        return near[-1]
    names = [known[each] for each in (near or known)]
    told = ", ".join(names[:_NAMES_TOLD]) + (" ..." if len(names) > _NAMES_TOLD else "")
    shown = clean(name, longest=60)
    if near:
        raise NotFound(f"Several {what}s have {shown!r} in their names: {told}")
    raise NotFound(f"There is no {what} {shown!r}. {what.capitalize()}s: {told or 'none yet'}")


def _revisions(session: Session, name: str) -> list[int]:
    """Revisions of a train, also of one that is used no more."""
    rows = newest(session, include_retired=True)
    in_use_last = sorted(rows, key=lambda row: not row.train.retired_utc)
    known = {row.train_id: row.train.name for row in in_use_last}
    train_id = _named(session, name, known, "train")
    revisions = select(TrainRevisionRow.id).where(TrainRevisionRow.train_id == train_id)
    return list(session.scalars(revisions))


def _with_part(
    session: Session, entry_id: ColumnElement[int] | None, name: str
) -> ColumnElement[bool]:
    """Entries on a part itself, and those of trains it was in."""
    rows = newest_parts(session, include_retired=True)
    in_use_last = sorted(rows, key=lambda row: not row.part.retired_utc)
    known = {row.part_id: row.name for row in in_use_last}
    part_id = _named(session, name, known, "part")
    held = (
        select(TrainPartRow.train_revision_id)
        .join(PartRevisionRow, PartRevisionRow.id == TrainPartRow.part_revision_id)
        .where(PartRevisionRow.part_id == part_id)
    )
    on_it = select(UpkeepRow.entry_id).where(UpkeepRow.part_id == part_id)
    turned = select(TurnRow.entry_id).where(TurnRow.telescope_id == part_id)
    within = _within(session, entry_id, list(session.scalars(held)))
    on_it_or_turned = _id_or(entry_id).in_(union_all(on_it, turned))
    return or_(within, on_it_or_turned)


def _within(
    session: Session, entry_id: ColumnElement[int] | None, revisions: list[int]
) -> ColumnElement[bool]:
    """Entries made while one of these revisions of trains was in use.

    A night in which the kit was never changed has one train, so its entries need not be read.
    """
    changed = select(EntryRow.night_id).where(
        EntryRow.kind == "kit", EntryRow.night_id.is_not(None)
    )
    with_it: Select[int] = select(NightRow.id).where(NightRow.train_revision_id.in_(revisions))
    throughout = with_it.where(NightRow.id.not_in(changed))
    nights = session.scalar(select(func.count()).select_from(NightRow)) or 0
    those = session.scalar(select(func.count()).select_from(with_it.subquery())) or 0
    meant = EntryRow.train_revision_id.in_(revisions)
    if those > _MANY * nights:
        return meant
    in_part = or_(EntryRow.night_id.in_(changed), EntryRow.night_id.is_(None))
    whole = select(EntryRow.id).where(EntryRow.night_id.in_(throughout))
    return _id_or(entry_id).in_(union_all(whole, select(EntryRow.id).where(in_part, meant)))


def _id_or(entry_id: ColumnElement[int] | None) -> ColumnElement[int]:
    found: ColumnElement[int] = EntryRow.id.expression if entry_id is None else entry_id
    return found
