"""Parts and their revisions, within a session of the caller's."""

import uuid
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from logbook.errors import NotFound
from logbook.kit.parts.part import Part
from logbook.records.names import Named, TakenNames
from logbook.store.tables.convert import value_rows
from logbook.store.tables.former_names import forget_part_names, formerly
from logbook.store.tables.models import PartRevisionRow, PartRow
from logbook.text import fold


def newest_parts(session: Session, *, include_retired: bool = False) -> tuple[PartRevisionRow, ...]:
    """The newest revision of every part, by kind and name."""
    other = aliased(PartRevisionRow)
    latest = select(func.max(other.revision)).where(other.part_id == PartRevisionRow.part_id)
    statement = (
        select(PartRevisionRow)
        .join(PartRevisionRow.part)
        .where(PartRevisionRow.revision == latest.scalar_subquery())
        .order_by(PartRow.kind, PartRevisionRow.name, PartRow.id)
    )
    if not include_retired:
        statement = statement.where(PartRow.retired_utc.is_(None))
    return tuple(session.scalars(statement))


def newest_part(session: Session, part_id: int) -> PartRevisionRow:
    row = session.scalars(
        select(PartRevisionRow)
        .where(PartRevisionRow.part_id == part_id)
        .order_by(PartRevisionRow.revision.desc())
        .limit(1)
    ).first()
    if row is None:
        raise NotFound(f"There is no part number {part_id}.")
    return row


def find_part(session: Session, name: str) -> PartRevisionRow | None:
    """The part of that name, else the one that had it last; None if there is none."""
    found = _called(session, name)
    if found is None and (part_id := formerly(session, "part", name)) is not None:
        row = newest_part(session, part_id)
        found = row if row.part.retired_utc is None else None
    return found


def _called(session: Session, name: str) -> PartRevisionRow | None:
    wanted = fold(name)
    return next((row for row in newest_parts(session) if fold(row.name) == wanted), None)


def add(session: Session, part: Part, now: datetime) -> PartRevisionRow:
    """A new part. Raises BadInput for a name that is taken."""
    names(session).refuse(part.name)
    owner = PartRow(uid=str(uuid.uuid4()), kind=part.kind, created_utc=now)
    row = revision_row(owner, part, revision=1, why="", now=now)
    session.add(row)
    session.flush()
    forget_part_names(session)
    return row


def revision_row(
    owner: PartRow, part: Part, revision: int, why: str, now: datetime
) -> PartRevisionRow:
    return PartRevisionRow(
        part=owner,
        revision=revision,
        name=part.name,
        state=part.state,
        reason=part.reason,
        price=part.price,
        note=part.note,
        photo_path=part.photo_path,
        link=part.link,
        changed_utc=now,
        change_note=why,
        values=value_rows(part),
    )


def names(session: Session) -> TakenNames:
    """The names that parts bear; that of a retired one is free."""
    rows = newest_parts(session)
    return TakenNames.of("part", (Named(row.part_id, row.name) for row in rows))
