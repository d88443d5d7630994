"""How many of the lines that were found each value of a filter would leave."""

from collections import Counter
from collections.abc import Callable
from typing import Any

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from logbook.records.search import Counted
from logbook.store.kit.parts import newest_parts
from logbook.store.tables.models import (
    EntryRow,
    NightRow,
    TargetRow,
    TrainPartRow,
    TrainRevisionRow,
    TrainRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.tables.models import PartRevisionRow as Part

Choose = Callable[..., Select[*tuple[Any, ...]]]


def counted(
    session: Session, what: str, choose: Choose, kinds: tuple[str, ...]
) -> tuple[Counted, ...]:
    """The values, most lines first; years in order.

    choose -- makes the statement that gives these columns of the lines found, or of those of one
        kind; EntryRow and NightRow are in it.
    kinds -- those that are wanted; all without any.
    """
    if what == "year":
        years = _by_year(session, choose)
        return tuple(Counted(year, years[year]) for year in sorted(years))
    if what == "part":
        counts = _by_part(session, choose, kinds)
    else:
        by = {"kind": _by_kind, "object": _by_object, "train": _by_train}[what]
        counts = by(session, choose)
    most_first = sorted(counts.items(), key=lambda each: (-each[1], each[0]))
    return tuple(Counted(value, entries) for value, entries in most_first)


def _grouped(session: Session, choose: Choose, column: Any) -> dict[Any, int]:
    statement = choose(column, func.count()).group_by(column)
    return {value: count for value, count in session.execute(statement) if value is not None}


def _by_kind(session: Session, choose: Choose) -> dict[str, int]:
    return _grouped(session, choose, EntryRow.kind)


def _by_object(session: Session, choose: Choose) -> dict[str, int]:
    names = dict(session.execute(select(TargetRow.id, TargetRow.name)).all())
    by_id = _grouped(session, choose, EntryRow.target_id)
    return {names[target_id]: count for target_id, count in by_id.items()}


def _by_year(session: Session, choose: Choose) -> dict[str, int]:
    day = func.coalesce(NightRow.local_date, EntryRow.happened_utc)
    return _grouped(session, choose, func.substr(day, 1, 4))


def _by_train(session: Session, choose: Choose) -> dict[str, int]:
    statement = select(TrainRevisionRow.id, TrainRow.name).join(
        TrainRow, TrainRow.id == TrainRevisionRow.train_id
    )
    names = dict(session.execute(statement).all())
    sums: Counter[str] = Counter()
    for revision_id, count in _grouped(session, choose, EntryRow.train_revision_id).items():
        sums[names[revision_id]] += count
    return sums


def _by_part(session: Session, choose: Choose, kinds: tuple[str, ...]) -> dict[str, int]:
    """Lines with the part in use, and those on the part itself while it was not."""
    statement = select(TrainPartRow.train_revision_id, Part.part_id).join(
        Part, Part.id == TrainPartRow.part_revision_id
    )
    held = {(revision_id, part_id) for revision_id, part_id in session.execute(statement)}
    sums: Counter[int] = Counter()
    by_revision = _grouped(session, choose, EntryRow.train_revision_id)
    for revision_id, part_id in held:
        sums[part_id] += by_revision.get(revision_id, 0)
    on_it = (("upkeep", UpkeepRow, UpkeepRow.part_id), ("turn", TurnRow, TurnRow.telescope_id))
    for kind, details, part in on_it:
        if kinds and kind not in kinds:
            continue
        columns = (part, EntryRow.train_revision_id)
        chosen = choose(*columns, func.count(), only_kind=kind)
        grouped = chosen.join(details, details.entry_id == EntryRow.id).group_by(*columns)
        for part_id, revision_id, count in session.execute(grouped):
            if part_id is not None and (revision_id, part_id) not in held:
                sums[part_id] += count
    names = {row.part_id: row.name for row in newest_parts(session, include_retired=True)}
    return {names[part_id]: count for part_id, count in sums.items() if count}
