"""Trains and their revisions, within a session of the caller's."""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from logbook.errors import BadInput, NotFound
from logbook.kit.parts.part import Placement
from logbook.records import checks
from logbook.records.check_kit import NAME_LENGTH, NOTE_LENGTH
from logbook.records.entries import TRAIN_KINDS
from logbook.records.names import Named, TakenNames
from logbook.store.kit.parts import newest_part
from logbook.store.tables.former_names import formerly, remember
from logbook.store.tables.models import PartRevisionRow, TrainPartRow, TrainRevisionRow, TrainRow
from logbook.text import clean, fold

# A train entered or changed within a day after it was used was used as it was entered.
_WRITTEN_UP_WITHIN = timedelta(days=1)

# How far a part is drawn out, and where it sits along the tube; both in mm.
_Placed = tuple[float | None, float | None]


def newest(session: Session, *, include_retired: bool = False) -> tuple[TrainRevisionRow, ...]:
    """The newest revision of every train, by name."""
    other = aliased(TrainRevisionRow)
    latest = select(func.max(other.revision)).where(other.train_id == TrainRevisionRow.train_id)
    statement = (
        select(TrainRevisionRow)
        .join(TrainRevisionRow.train)
        .where(TrainRevisionRow.revision == latest.scalar_subquery())
        .order_by(TrainRow.name, TrainRow.id)
    )
    if not include_retired:
        statement = statement.where(TrainRow.retired_utc.is_(None))
    return tuple(session.scalars(statement))


def newest_of(session: Session, train_id: int) -> TrainRevisionRow:
    return history(session, train_id)[-1]


def history(session: Session, train_id: int) -> tuple[TrainRevisionRow, ...]:
    """Every revision, oldest first; never empty. Raises NotFound."""
    statement = select(TrainRevisionRow).where(TrainRevisionRow.train_id == train_id)
    rows = tuple(session.scalars(statement.order_by(TrainRevisionRow.revision)))
    if not rows:
        raise NotFound(f"There is no train number {train_id}.")
    return rows


def revision(session: Session, revision_id: int) -> TrainRevisionRow:
    row = session.get(TrainRevisionRow, revision_id)
    if row is None:
        raise NotFound(f"There is no revision {revision_id} of a train.")
    return row


def named(session: Session, name: str) -> TrainRevisionRow:
    """The newest revision of the train of that name, else of the one that had it last.

    Raises NotFound.
    """
    rows = newest(session)
    wanted = fold(name)
    for row in rows:
        if fold(row.train.name) == wanted:
            return row
    former_id = formerly(session, "train", name)
    for row in rows:
        if row.train_id == former_id:
            return row
    names = ", ".join(row.train.name for row in rows) or "none yet"
    raise NotFound(f"There is no train {clean(name, longest=60)!r}. Trains: {names}")


def in_use_at(session: Session, train_id: int, used_utc: datetime) -> TrainRevisionRow:
    """The revision a train had when it was used; the first if it was used before it was entered."""
    rows = history(session, train_id)
    latest = used_utc + _WRITTEN_UP_WITHIN
    return next((row for row in reversed(rows) if row.made_utc <= latest), rows[0])


def telescope_id_of(row: TrainRevisionRow) -> int | None:
    """The part id of the telescope in a train."""
    for place in row.parts:
        if place.part_revision.part.kind == "telescope" and not place.carried:
            return place.part_revision.part_id
    return None


def add(
    session: Session,
    name: str,
    kind: str,
    part_ids: Sequence[int],
    carried_ids: Sequence[int],
    now: datetime,
    placements: Iterable[Placement],
) -> TrainRevisionRow:
    train = _new_train(session, name, kind, now)
    places = _places(session, part_ids, carried_ids, {}, placements)
    return _keep(session, train, 1, places, "", now)


def clone(session: Session, train_id: int, name: str, now: datetime) -> TrainRevisionRow:
    """A train of the same parts, as they are now and set as they are, under another name."""
    old = newest_of(session, train_id)
    train = _new_train(session, name, old.train.kind, now)
    places = _places(session, *_ids(old), _placed(old))
    return _keep(session, train, 1, places, f"from {old.train.name}", now)


def bring_back(session: Session, train_id: int, now: datetime) -> TrainRevisionRow:
    """A retired train in use again. Parts that changed meanwhile make a new revision of it."""
    old = newest_of(session, train_id)
    places = _places(session, *_ids(old), _placed(old))
    old.train.retired_utc = None
    if {each.part_revision.id for each in places} == {each.part_revision.id for each in old.parts}:
        return old
    return _keep(session, old.train, old.revision + 1, places, "brought back", now)


def same_places(one: TrainRevisionRow, other: TrainRevisionRow) -> bool:
    """Whether two revisions hold the same parts, set alike; the parts themselves may differ."""
    return _told_places(one) == _told_places(other)


def _told_places(row: TrainRevisionRow) -> list[tuple[object, ...]]:
    return [
        (
            each.position,
            each.part_revision.part_id,
            each.carried,
            each.setting_mm,
            each.along_tube_mm,
        )
        for each in row.parts
    ]


def put_back(
    session: Session, newest: TrainRevisionRow, old: TrainRevisionRow, now: datetime
) -> TrainRevisionRow:
    """The train with the parts of an old revision, as these are now; as it is if it has them."""
    if same_places(newest, old):
        return newest
    places = [
        _place(
            each.position,
            newest_part(session, each.part_revision.part_id),
            each.carried,
            (each.setting_mm, each.along_tube_mm),
        )
        for each in old.parts
    ]
    return _keep(session, old.train, newest.revision + 1, places, "taken back", now)


def _new_train(session: Session, name: str, kind: str, now: datetime) -> TrainRow:
    checks.one_of(kind, "the kind of train", TRAIN_KINDS)
    kept_name = _free_name(session, name)
    return TrainRow(uid=str(uuid.uuid4()), name=kept_name, kind=kind, created_utc=now)


def rename(session: Session, train_id: int, name: str, now: datetime) -> TrainRevisionRow:
    """Another name for a train, in all its revisions; the old one is remembered."""
    row = newest_of(session, train_id)
    kept_name = _free_name(session, name, besides=train_id)
    remember(session, row.train.name, kept_name, now, train_id=train_id)
    row.train.name = kept_name
    session.flush()
    return row


def names(session: Session) -> TakenNames:
    """The names that trains bear, retired ones too."""
    rows = session.execute(select(TrainRow.id, TrainRow.name, TrainRow.retired_utc))
    return TakenNames.of("train", (Named(*row[:2], row[2] is not None) for row in rows))


def _free_name(session: Session, name: str, *, besides: int | None = None) -> str:
    """A train's name as it will be saved. Raises BadInput for one that is taken."""
    kept_name = checks.line(name, "the train's name", NAME_LENGTH, wanted=True)
    names(session).besides(besides).refuse(kept_name)
    return kept_name


def revise(
    session: Session,
    train_id: int,
    part_ids: Sequence[int],
    carried_ids: Sequence[int],
    note: str,
    now: datetime,
    placements: Iterable[Placement],
) -> TrainRevisionRow:
    kept_note = checks.line(note, "the note", NOTE_LENGTH)
    old = newest_of(session, train_id)
    places = _places(session, part_ids, carried_ids, _placed(old), placements)
    return _keep(session, old.train, old.revision + 1, places, kept_note, now)


def holding(session: Session, part_id: int) -> tuple[TrainRevisionRow, ...]:
    """The trains in use that hold a part."""
    return tuple(
        row
        for row in newest(session)
        if any(place.part_revision.part_id == part_id for place in row.parts)
    )


def follow_part(session: Session, part: PartRevisionRow, note: str, now: datetime) -> None:
    """Give every train in use that holds a part a revision with the part as it is now."""
    for old in holding(session, part.part_id):
        places = [
            _place(
                place.position,
                part if place.part_revision.part_id == part.part_id else place.part_revision,
                place.carried,
                (place.setting_mm, place.along_tube_mm),
            )
            for place in old.parts
        ]
        _keep(session, old.train, old.revision + 1, places, note[:NOTE_LENGTH], now)


def _keep(
    session: Session,
    train: TrainRow,
    number: int,
    places: list[TrainPartRow],
    note: str,
    now: datetime,
) -> TrainRevisionRow:
    row = TrainRevisionRow(
        uid=str(uuid.uuid4()), train=train, revision=number, made_utc=now, note=note, parts=places
    )
    session.add(row)
    session.flush()
    return row


def _places(
    session: Session,
    part_ids: Sequence[int],
    carried_ids: Sequence[int],
    before: Mapping[int, _Placed],
    placements: Iterable[Placement] = (),
) -> list[TrainPartRow]:
    """Places for these parts as they are now, set as before where `placements` does not say."""
    if not part_ids:
        raise BadInput("a train needs at least one part")
    if len({*part_ids, *carried_ids}) < len(part_ids) + len(carried_ids):
        raise BadInput("a part can be in a train only once")
    wanted = [(part_id, False) for part_id in part_ids]
    wanted += [(part_id, True) for part_id in carried_ids]
    places = []
    for position, (part_id, carried) in enumerate(wanted):
        part = newest_part(session, part_id)
        if part.part.retired_utc is not None:
            raise BadInput(f"{part.name} was retired; it cannot be put into a train.")
        places.append(_place(position, part, carried, before.get(part_id, (None, None))))
    for each in placements:
        _set(places, each)
    return places


def _set(places: list[TrainPartRow], placement: Placement) -> None:
    for place in places:
        if fold(place.part_revision.name) == fold(placement.part):
            place.setting_mm = placement.setting_mm
            place.along_tube_mm = placement.along_tube_mm
            return
    raise BadInput(f"{placement.part} is not in the train, so it cannot be set.")


def _place(position: int, part: PartRevisionRow, carried: bool, placed: _Placed) -> TrainPartRow:
    return TrainPartRow(
        position=position,
        part_revision=part,
        carried=carried,
        setting_mm=placed[0],
        along_tube_mm=placed[1],
    )


def _placed(row: TrainRevisionRow) -> dict[int, _Placed]:
    return {
        place.part_revision.part_id: (place.setting_mm, place.along_tube_mm) for place in row.parts
    }


def _ids(row: TrainRevisionRow) -> tuple[list[int], list[int]]:
    """The part ids of the light path, and of what rides along."""
    path = [place.part_revision.part_id for place in row.parts if not place.carried]
    return path, [place.part_revision.part_id for place in row.parts if place.carried]
