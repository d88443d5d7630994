"""What parts, trains and sites are called today, and what they were called before.

A part's names stand in its revisions, those of trains and sites in a table of their own. What was
typed under an old name is found by it and shown under today's.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise, zip_longest
from typing import Literal

from sqlalchemy import SQLColumnExpression, case, select
from sqlalchemy.orm import Session

from logbook.store.tables.models import (
    ChoiceRow,
    EntryRow,
    FormerNameRow,
    FramesRow,
    PartRevisionRow,
    PartRow,
    ProjectRow,
    SiteRow,
    TrainRow,
)
from logbook.text import fold

What = Literal["part", "train", "site"]
TAKEN_BACK = "taken back"  # why a part has a revision that an undo gave it
_LONG_AGO = datetime.min.replace(tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class FormerName:
    """A name that something had until it was renamed, and the one that it has today."""

    what: What
    row_id: int
    name: str
    until_utc: datetime
    now: str


@dataclass(frozen=True, slots=True)
class Bearer:
    """A filter that bore a name for a while; `now` is what it is called today."""

    name: str
    from_utc: datetime
    until_utc: datetime | None
    now: str


def former_names(session: Session) -> tuple[FormerName, ...]:
    """Every former name, oldest first; without those that a thing bears again."""
    found = [*_of_parts(session), *_of_trains_and_sites(session)]
    other = (each for each in found if fold(each.name) != fold(each.now))
    return tuple(sorted(other, key=lambda each: each.until_utc))


def formerly(session: Session, what: What, name: str) -> int | None:
    """The id of what bore a name last; None where nothing of that sort did."""
    wanted = fold(name)
    borne = (
        each.row_id
        for each in reversed(former_names(session))
        if each.what == what and fold(each.name) == wanted
    )
    return next(borne, None)


def _of_parts(session: Session) -> Iterable[FormerName]:
    """Without names that an undo took back: those were never meant."""
    row = PartRevisionRow
    columns = select(row.part_id, row.name, row.changed_utc, row.change_note)
    rows = session.execute(columns.order_by(row.part_id, row.revision)).all()
    today = {part_id: name for part_id, name, _, _ in rows}
    for (part_id, name, _, _), (next_id, next_name, at, why) in pairwise(rows):
        if part_id == next_id and name != next_name and why != TAKEN_BACK:
            yield FormerName("part", part_id, name, at, today[part_id])


def _of_trains_and_sites(session: Session) -> Iterable[FormerName]:
    statement = (
        select(FormerNameRow, TrainRow.name, SiteRow.name)
        .outerjoin(TrainRow, TrainRow.id == FormerNameRow.train_id)
        .outerjoin(SiteRow, SiteRow.id == FormerNameRow.site_id)
    )
    for row, train, site in session.execute(statement):
        if row.train_id is not None:
            yield FormerName("train", row.train_id, row.name, row.until_utc, train)
        elif row.site_id is not None:
            yield FormerName("site", row.site_id, row.name, row.until_utc, site)


def remember(
    session: Session,
    old: str,
    new: str,
    now: datetime,
    *,
    train_id: int | None = None,
    site_id: int | None = None,
) -> None:
    """Remember what a train or a site was called; where it is the chosen one, it stays that."""
    if old == new:
        return
    session.add(FormerNameRow(train_id=train_id, site_id=site_id, name=old, until_utc=now))
    chosen = session.get(ChoiceRow, "site" if train_id is None else "train")
    if chosen is not None and chosen.value == old:
        chosen.value, chosen.updated_utc = new, now


def rename_in_projects(session: Session, old: str, new: str) -> None:
    """What is wanted through a filter is wanted through it under its new name."""
    for row in session.scalars(select(ProjectRow)):
        if row.filter_name is not None and fold(row.filter_name) == fold(old):
            row.filter_name = new


# --- today's names of what an entry or an old revision names ---


def part_names(session: Session) -> dict[int, str]:
    """What every part is called today, by id; read once in a session."""
    known: dict[int, str] | None = session.info.get("part names")
    if known is None:
        columns = select(PartRevisionRow.part_id, PartRevisionRow.name)
        rows = session.execute(columns.order_by(PartRevisionRow.part_id, PartRevisionRow.revision))
        known = session.info["part names"] = dict(rows.all())
    return known


def forget_part_names(session: Session) -> None:
    """To be called where a part got a revision."""
    session.info.pop("part names", None)


def filter_bearers(session: Session) -> tuple[Bearer, ...]:
    """Which filter bore which name when; nothing while none was ever renamed."""
    columns = (PartRevisionRow.part_id, PartRevisionRow.name, PartRevisionRow.changed_utc)
    rows = session.execute(
        select(*columns)
        .join(PartRow, PartRow.id == PartRevisionRow.part_id)
        .where(PartRow.kind == "filter")
        .order_by(PartRevisionRow.part_id, PartRevisionRow.revision)
    ).all()
    today = {part_id: name for part_id, name, _ in rows}
    if all(fold(name) == fold(today[part_id]) for part_id, name, _ in rows):
        return ()
    found = [
        Bearer(fold(name), at, until if next_id == part_id else None, today[part_id])
        for (part_id, name, at), (next_id, _, until) in zip_longest(
            rows, rows[1:], fillvalue=(0, "", _LONG_AGO)
        )
    ]
    return tuple(sorted(found, key=lambda each: each.from_utc))


def filter_today(bearers: Sequence[Bearer], name: str, recorded_utc: datetime) -> str:
    """What a filter is called today that was written down under a name at that time.

    It is the one that bore the name then; else the last before, else the first after.
    """
    borne = [each for each in bearers if each.name == fold(name)]
    if not borne:
        return name
    before = [each for each in borne if each.from_utc <= recorded_utc]
    then = [each for each in before if each.until_utc is None or recorded_utc < each.until_utc]
    now = (then or before or borne[:1])[-1].now
    return name if fold(now) == fold(name) else now


def filter_column(session: Session) -> SQLColumnExpression[str | None]:
    """The name of a run's filter as it is called today, for statements that read entries too."""
    bearers = filter_bearers(session)
    if not bearers:
        return FramesRow.filter_name
    times = sorted({each for one in bearers for each in (one.from_utc, one.until_utc) if each})
    whens = []
    for name in session.scalars(select(FramesRow.filter_name).distinct()):
        spoken = [filter_today(bearers, name, at) for at in (_LONG_AGO, *times)] if name else []
        if all(each == name for each in spoken):
            continue
        for now, until in zip(spoken, (*times, None), strict=True):
            then = FramesRow.filter_name == name
            whens.append((then if until is None else then & (EntryRow.recorded_utc < until), now))
    return case(*whens, else_=FramesRow.filter_name) if whens else FramesRow.filter_name
