"""Entries and what they belong to, within a session of the caller's."""

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from logbook.errors import BadInput, NotFound
from logbook.records.entries import EntryRecord, NewEntry, TargetCopy
from logbook.store.kit.parts import find_part
from logbook.store.kit.screws import screws_of
from logbook.store.kit.trains import in_use_at, named, revision, telescope_id_of
from logbook.store.session.units import UnitSession
from logbook.store.tables import convert
from logbook.store.tables import values as table_rows
from logbook.store.tables.former_names import Bearer, filter_bearers, filter_today, part_names
from logbook.store.tables.models import (
    EntryRow,
    PartRow,
    ReadingRow,
    TargetRow,
    TrainRevisionRow,
    TrainRow,
)
from logbook.store.tables.plain_sql import first_row
from logbook.store.timeline.insert import insert_entry
from logbook.text import fold

_NIGHT_USED = "SELECT train_revision_id, time_zone FROM night WHERE id = ?"
_TRAIN_CHANGED_TO = (
    "SELECT train_revision_id FROM entry WHERE night_id = ? AND kind = 'kit' AND happened_utc <= ? "
    "AND id <> ? AND NOT EXISTS (SELECT 1 FROM entry AS n WHERE n.supersedes_id = entry.id) "
    "ORDER BY happened_utc DESC, id DESC LIMIT 1"
)


@dataclass(frozen=True, slots=True)
class NightUsed:
    """What never changes of a night, as far as its entries need it."""

    id: int
    train_revision_id: int | None
    time_zone: str


@dataclass(frozen=True, slots=True)
class Ids:
    """What an entry belongs to, found from its words and its night."""

    train_revision_id: int | None = None
    telescope_id: int | None = None
    part_id: int | None = None


@dataclass(frozen=True, slots=True)
class Cause:
    """Why an entry takes the place of another."""

    name: str  # correct, withdraw, undo, redo
    supersedes_id: int
    undoes_id: int | None = None


def entry_row(session: Session, entry_id: int) -> EntryRow:
    row = session.get(EntryRow, entry_id)
    if row is None:
        raise NotFound(f"There is no entry number {entry_id}.")
    return row


def append(
    session: Session,
    night_id: int | None,
    content: NewEntry,
    ids: Ids,
    now: datetime,
    cause: Cause | None = None,
) -> EntryRow:
    """Add one entry with all its details. What it returns is no row of the session."""
    target = None if content.target is None else target_row(session, content.target, now)
    values = {
        "night_id": night_id,
        "action": content.action,
        "target": target,
        "target_id": None if target is None else target.id,
        "train_revision_id": ids.train_revision_id,
        "supersedes_id": cause.supersedes_id if cause else None,
        "cause": cause.name if cause else None,
        "undoes_id": cause.undoes_id if cause else None,
        "readings": [ReadingRow(quantity=name, number=each) for name, each in content.readings],
        "frames": convert.frames_row(content.frames),
        "turn": convert.turn_row(content.turn, ids.telescope_id),
        "look": convert.look_row(content.look, ids.telescope_id),
        "look_detail": convert.look_detail_row(content.look),
        "check": convert.check_row(content.check, ids.telescope_id),
        "adjustment": convert.adjustment_row(content.adjustment, ids.telescope_id),
        "upkeep": convert.upkeep_row(content.upkeep, ids.part_id),
    }
    row = EntryRow(
        uid=str(uuid.uuid4()),
        happened_utc=content.happened_utc,
        recorded_utc=now,
        kind=content.kind,
        text=content.text,
        **{name: value for name, value in values.items() if value},  # to set nothing takes time
    )
    assert isinstance(session, UnitSession)
    insert_entry(session, row)
    return row


def target_row(session: Session, target: TargetCopy, now: datetime) -> TargetRow:
    """The book's own copy, made when the object is first used."""
    found = session.scalars(
        select(TargetRow).where(TargetRow.catalogue_id == target.catalogue_id)
    ).first()
    if found is not None:
        return found
    row = convert.target_row(target)
    row.uid, row.created_utc = str(uuid.uuid4()), now
    session.add(row)
    session.flush()
    return row


def records(session: Session, statement: Select[EntryRow]) -> tuple[EntryRecord, ...]:
    """The entries a statement finds, whole."""
    found = session.scalars(statement).all()
    return records_of(session, found)


def records_of(session: Session, found: Sequence[EntryRow]) -> tuple[EntryRecord, ...]:
    """Entries, with what they name under today's names."""
    names = _train_names(session, found)
    named_filter = any(row.frames is not None and row.frames.filter_name for row in found)
    bearers = filter_bearers(session) if named_filter else ()
    records = (
        convert.entry_record(row, names.get(row.id), corrected=_is_corrected(session, row))
        for row in found
    )
    return tuple(
        replace(record, content=_under_todays_names(session, row, record.content, bearers))
        for row, record in zip(found, records, strict=True)
    )


def _under_todays_names(
    session: Session, row: EntryRow, content: NewEntry, bearers: Sequence[Bearer]
) -> NewEntry:
    frames, upkeep = content.frames, content.upkeep
    if bearers and frames is not None and frames.filter_name is not None:
        name = filter_today(bearers, frames.filter_name, row.recorded_utc)
        content = replace(content, frames=replace(frames, filter_name=name))
    if upkeep is not None and row.upkeep is not None and row.upkeep.part_id is not None:
        today = part_names(session).get(row.upkeep.part_id, upkeep.part_name)
        if today is not None and fold(today) != fold(upkeep.part_name or ""):
            content = replace(content, upkeep=replace(upkeep, part_name=today))
    return content


def _is_corrected(session: Session, row: EntryRow) -> bool:
    meant = stands_for(session, row)
    return meant is not None and meant.cause == "correct"


def stands_for(session: Session, entry: EntryRow) -> EntryRow | None:
    """The entry that was written with this content: another one for what was taken back or done
    again. None for a line that is out once more."""
    if entry.cause not in ("undo", "redo"):
        return entry
    assert entry.undoes_id is not None
    undone = entry_row(session, entry.undoes_id)
    if undone.supersedes_id is None:
        return None
    return stands_for(session, entry_row(session, undone.supersedes_id))


def _train_names(session: Session, found: Sequence[EntryRow]) -> dict[int, str]:
    """Names of the trains that entries name themselves; the rest have them from their night."""
    naming = {row.id: row.train_revision_id for row in found if _names_train(row)}
    if not naming:
        return {}
    statement = (
        select(TrainRevisionRow.id, TrainRow.name)
        .join(TrainRow, TrainRow.id == TrainRevisionRow.train_id)
        .where(TrainRevisionRow.id.in_(set(naming.values())))
    )
    names: dict[int, str] = dict(session.execute(statement).all())
    return {entry_id: names[revision_id] for entry_id, revision_id in naming.items() if revision_id}


def _names_train(row: EntryRow) -> bool:
    return row.train_revision_id is not None and (row.kind == "kit" or row.night_id is None)


def ids_of(row: EntryRow) -> Ids:
    """What an entry in the book belongs to."""
    of_telescope = row.turn or row.look or row.check or row.adjustment
    telescope_id = of_telescope.telescope_id if of_telescope is not None else None
    part_id = row.upkeep.part_id if row.upkeep is not None else None
    return Ids(row.train_revision_id, telescope_id, part_id)


def night_used(session: Session, night_id: int) -> NightUsed:
    """What an entry has to know of its night. Raises NotFound."""
    known: dict[int, NightUsed] = session.info.setdefault("nights", {})
    if night_id not in known:
        row = first_row(session, _NIGHT_USED, night_id)
        if row is None:
            raise NotFound(f"There is no night number {night_id}.")
        known[night_id] = NightUsed(night_id, *row)
    return known[night_id]


def resolve(
    session: Session, night: NightUsed | None, new: NewEntry, old: EntryRow | None = None
) -> Ids:
    """What a new entry, or a correction of `old`, belongs to. Raises BadInput, NotFound."""
    train_revision_id = _train_of(session, night, new, old)
    telescope_id = None
    if any((new.turn, new.look, new.check, new.adjustment)):
        telescope_id = _telescope_of(session, train_revision_id)
    part_id = None
    if new.upkeep is not None and new.upkeep.part_name:
        part = find_part(session, new.upkeep.part_name)
        part_id = part.part_id if part is not None else None
    return Ids(train_revision_id, telescope_id, part_id)


def _train_of(
    session: Session, night: NightUsed | None, new: NewEntry, old: EntryRow | None
) -> int | None:
    before = old.train_revision_id if old is not None else None
    if new.train_name is not None and (new.kind == "kit" or night is None):
        if before is not None and _is_called(session, before, new.train_name):
            return before  # the same train, as it was then
        train = named(session, new.train_name)
        return in_use_at(session, train.train_id, new.happened_utc).id
    if night is None:
        return before
    return train_in_use(session, night, new.happened_utc, besides=old)


def _is_called(session: Session, revision_id: int, name: str) -> bool:
    return fold(revision(session, revision_id).train.name) == fold(name)


def train_in_use(
    session: Session, night: NightUsed, at_utc: datetime, *, besides: EntryRow | None = None
) -> int | None:
    """The revision id of the train in use then: the last change of kit, else the night's."""
    at_text = table_rows.plain(at_utc.astimezone(UTC))
    besides_id = 0 if besides is None else besides.id
    row = first_row(session, _TRAIN_CHANGED_TO, night.id, at_text, besides_id)
    changed_to = None if row is None else row[0]
    return night.train_revision_id if changed_to is None else changed_to


def _telescope_of(session: Session, train_revision_id: int | None) -> int | None:
    """The telescope of the train, else the only one there is; None if there is none at all."""
    if train_revision_id is not None:
        found = telescope_id_of(revision(session, train_revision_id))
        if found is not None:
            return found
    statement = select(PartRow.id).where(PartRow.kind == "telescope", PartRow.retired_utc.is_(None))
    known = session.scalars(statement).all()
    if len(known) > 1:
        raise BadInput("Which telescope? Say first which train is in use.")
    return known[0] if known else None


def screw_named(session: Session, telescope_id: int | None, name: str) -> str:
    """The screw's name as the user wrote it. Raises BadInput naming the telescope's screws."""
    known = [] if telescope_id is None else [each.name for each in screws_of(session, telescope_id)]
    if not known:
        return name
    for each in known:
        if fold(each) == fold(name):
            return each
    raise BadInput(f"this telescope has no screw {name!r}; its screws are {', '.join(known)}")
