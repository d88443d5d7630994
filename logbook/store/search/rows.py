"""Lines that a search found, with what became of those that were corrected or withdrawn."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import exists, select
from sqlalchemy.orm import Session, aliased

from logbook.records.search import Hit
from logbook.store.search.day_zone import day_zone_name
from logbook.store.tables.models import EntryRow, NightRow, TargetRow, TrainRevisionRow, TrainRow
from logbook.text import clean

_NEWER = aliased(EntryRow)

# Of EntryRow, and of NightRow by an outer join.
COLUMNS = (
    EntryRow.id,
    EntryRow.night_id,
    EntryRow.happened_utc,
    EntryRow.kind,
    EntryRow.text,
    EntryRow.train_revision_id,
    NightRow.local_date,
    NightRow.time_zone,
    EntryRow.target_id,
    exists().where(_NEWER.supersedes_id == EntryRow.id).label("is_replaced"),
)


def hits_of(session: Session, rows: Sequence[Any], *, best_first: bool) -> tuple[Hit, ...]:
    """The lines of these rows, newest first; of several writings of a line the newest found.

    best_first -- leave the order as it is.
    """
    tips = _tips(session, [row.id for row in rows if row.is_replaced])
    names = _Names(_train_names(session), object_names(session), day_zone_name(session))
    newest: dict[int, Any] = {}
    for row in rows:
        line = tips[row.id].id if row.is_replaced else row.id
        if line not in newest or row.id > newest[line].id:
            newest[line] = row
    hits = [_hit(row, tips.get(row.id), names) for row in newest.values()]
    if not best_first:
        hits.sort(key=lambda hit: (hit.happened_utc, hit.entry_id), reverse=True)
    return tuple(hits)


@dataclass(frozen=True, slots=True)
class _Names:
    trains: dict[int, str]  # by their revisions
    objects: dict[int, str]
    day_zone: str


def _hit(row: Any, tip: Any, names: _Names) -> Hit:
    standing = "stands" if tip is None else "withdrawn" if tip.kind == "withdrawn" else "corrected"
    return Hit(
        row.id,
        row.night_id,
        row.local_date,
        row.time_zone or names.day_zone,
        row.happened_utc,
        row.kind,
        _shown(row.text),
        names.objects.get(row.target_id, ""),
        names.trains.get(row.train_revision_id, ""),
        standing,
        _shown(tip.text) if tip is not None else "",
        tip.id if tip is not None else row.id,
    )


def _shown(text: str) -> str:
    """A text as it may be shown: another program may have put control characters into the book."""
    return text if text.isprintable() else clean(text)


def _tips(session: Session, replaced: list[int]) -> dict[int, Any]:
    """What stands now in the place of each of these entries."""
    tips: dict[int, Any] = {}
    at = {each: each for each in replaced}  # how far each was followed
    while at:
        statement = select(EntryRow.supersedes_id, EntryRow.id, EntryRow.kind, EntryRow.text)
        found = session.execute(statement.where(EntryRow.supersedes_id.in_(set(at.values()))))
        newer = {row.supersedes_id: row for row in found}
        tips.update({each: newer[version] for each, version in at.items() if version in newer})
        at = {each: newer[version].id for each, version in at.items() if version in newer}
    return tips


def _train_names(session: Session) -> dict[int, str]:
    """Names of all trains, by their revisions."""
    statement = select(TrainRevisionRow.id, TrainRow.name).join(
        TrainRow, TrainRow.id == TrainRevisionRow.train_id
    )
    names: dict[int, str] = dict(session.execute(statement).all())
    return names


def object_names(session: Session) -> dict[int, str]:
    """Names of all objects of the book."""
    names: dict[int, str] = dict(session.execute(select(TargetRow.id, TargetRow.name)).all())
    return names
