"""The rows of a unit put back as they were, within a session of the caller's.

Rows that may change are set back; rows that are only ever added get one more that says what held
before. What was added anew is retired, never deleted; a night that was begun is ended.
"""

import json
from collections.abc import Callable, Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from logbook.errors import NotWritten
from logbook.store.choosing import running_orders
from logbook.store.kit import parts, trains
from logbook.store.session.units import Change
from logbook.store.tables.convert import part_of
from logbook.store.tables.former_names import TAKEN_BACK, forget_part_names
from logbook.store.tables.models import (
    Base,
    EntryRow,
    NightRow,
    PartRevisionRow,
    RunningOrderRow,
    TrainRevisionRow,
    UpkeepSnoozeRow,
)
from logbook.store.tables.values import plain, typed_value
from logbook.store.timeline.night_sums import is_current
from logbook.store.timeline.undo import revert_entry

_RETIRED = ("limit_set", "part", "project", "screw", "site", "train", "upkeep_rule")
_UNIQUE_NAMES = ("site", "train")
_NAME_LENGTH = 120


def revert(session: Session, changes: Iterable[Change], cause: str, now: datetime) -> None:
    """Put back what these changes did. Raises NotWritten if something was changed since."""
    for change in sorted(changes, key=_order):
        _revert_one(session, change, cause, now)
        session.flush()
    open_ones = select(func.count()).select_from(NightRow).where(NightRow.ended_utc.is_(None))
    if (session.scalar(open_ones) or 0) > 1:
        raise NotWritten("Not taken back: another night is in progress. F10 ends that first.")


def _order(change: Change) -> tuple[int, int]:
    """Newest first; a train follows its parts, so it comes after them."""
    return (change.table == "train_revision", -change.id)


def _revert_one(session: Session, change: Change, cause: str, now: datetime) -> None:
    if change.table == "entry":
        done = revert_entry(session, change.row_id, cause, now)
    elif change.table in _APPENDED:
        done = _APPENDED[change.table](session, change.row_id, now)
    else:
        done = _put_back(session, change, now)
    if not done:
        raise changed_since(change.table)


def changed_since(table: str) -> NotWritten:
    what = table.partition("_")[0]
    return NotWritten(
        f"Not taken back: the {what} was changed since, perhaps by another program. "
        "Look at it as it is now, then change that."
    )


def _put_back(session: Session, change: Change, now: datetime) -> bool:
    table = _model(change.table)
    row = session.get(table, change.row_id if change.table != "choice" else change.key)
    before = None if change.before is None else json.loads(change.before)
    if change.after is None and row is None and before is not None:
        session.add(table(**_values(table, before)))
        return True
    if row is None or change.after is None or _as_plain(row) != json.loads(change.after):
        return change.table == "choice"  # chosen otherwise since: that stays
    if before is not None:
        _refuse_taken_name(session, change.table, row, before)
        for name, value in _values(table, before).items():
            setattr(row, name, value)
        return True
    _take_out(session, change.table, row, now)
    return True


def _refuse_taken_name(session: Session, table: str, row: Any, before: dict[str, object]) -> None:
    """Of a part that comes back; the names of the rest are unique in their tables."""
    if table == "part" and before["retired_utc"] is None:
        name = parts.newest_part(session, row.id).name
        parts.names(session).besides(row.id).refuse(name)


def _take_out(session: Session, table: str, row: Any, now: datetime) -> None:
    """Of a row that was added: out of every list, its name free for another."""
    if table == "night":
        row.ended_utc = _last_instant(session, row)
    elif table in _RETIRED:
        row.retired_utc = now
        if table in _UNIQUE_NAMES:
            mark = f" (taken back {row.id})"
            row.name = row.name[: _NAME_LENGTH - len(mark)] + mark
    else:
        session.delete(row)


def _last_instant(session: Session, night: NightRow) -> datetime:
    newest = select(func.max(EntryRow.happened_utc)).where(
        EntryRow.night_id == night.id, is_current()
    )
    return max(night.started_utc, session.scalar(newest) or night.started_utc)


def _model(table: str) -> type[Any]:
    return next(each.class_ for each in Base.registry.mappers if each.local_table.name == table)  # type: ignore[attr-defined]


def _values(table: type[Base], values: dict[str, object]) -> dict[str, object]:
    columns: Any = table.__table__.columns
    return {name: typed_value(columns[name], value) for name, value in values.items()}


def _as_plain(row: Any) -> dict[str, object]:
    return {each.name: plain(getattr(row, each.name)) for each in row.__table__.columns}


# --- rows that are only ever added: one more, with what held before


def _revert_part(session: Session, revision_id: int, now: datetime) -> bool:
    row = session.get_one(PartRevisionRow, revision_id)
    if row.revision == 1:
        return True  # the part itself goes
    newest = parts.newest_part(session, row.part_id)
    if part_of(newest) != part_of(row):
        return False
    before = select(PartRevisionRow).where(
        PartRevisionRow.part_id == row.part_id, PartRevisionRow.revision == row.revision - 1
    )
    old = session.scalars(before).one()
    back = parts.revision_row(row.part, part_of(old), newest.revision + 1, TAKEN_BACK, now)
    session.add(back)
    session.flush()
    forget_part_names(session)
    trains.follow_part(session, back, f"{old.name}: {TAKEN_BACK}", now)
    return True


def _revert_train(session: Session, revision_id: int, now: datetime) -> bool:
    row = session.get_one(TrainRevisionRow, revision_id)
    if row.revision == 1:
        return True  # the train itself goes
    before = select(TrainRevisionRow).where(
        TrainRevisionRow.train_id == row.train_id, TrainRevisionRow.revision == row.revision - 1
    )
    old = session.scalars(before).one()
    newest = trains.newest_of(session, row.train_id)
    if trains.same_places(newest, row):
        trains.put_back(session, newest, old, now)
        return True
    return trains.same_places(newest, old)


def _revert_order(session: Session, order_id: int, now: datetime) -> bool:
    row = session.get_one(RunningOrderRow, order_id)
    here = select(RunningOrderRow).where(
        RunningOrderRow.site_id == row.site_id, RunningOrderRow.local_date == row.local_date
    )
    newest = session.scalars(here.order_by(RunningOrderRow.id.desc()).limit(1)).one()
    items = running_orders.items_of(session, row)
    if running_orders.items_of(session, newest) != items:
        return False
    earlier = here.where(RunningOrderRow.id < row.id).order_by(RunningOrderRow.id.desc())
    old = session.scalars(earlier.limit(1)).first()
    held = () if old is None else running_orders.items_of(session, old)
    running_orders.append(session, row.site_id, row.local_date, held, now)
    return True


def _revert_pause(session: Session, snooze_id: int, now: datetime) -> bool:
    row = session.get_one(UpkeepSnoozeRow, snooze_id)
    here = select(UpkeepSnoozeRow).where(UpkeepSnoozeRow.upkeep_rule_id == row.upkeep_rule_id)
    newest = session.scalars(here.order_by(UpkeepSnoozeRow.id.desc()).limit(1)).one()
    if newest.until_utc != row.until_utc:
        return False
    earlier = here.where(UpkeepSnoozeRow.id < row.id).order_by(UpkeepSnoozeRow.id.desc())
    old = session.scalars(earlier.limit(1)).first()
    until = now if old is None else old.until_utc
    again = UpkeepSnoozeRow(upkeep_rule_id=row.upkeep_rule_id, said_utc=now, until_utc=until)
    session.add(again)
    return True


_APPENDED: dict[str, Callable[[Session, int, datetime], bool]] = {
    "part_revision": _revert_part,
    "train_revision": _revert_train,
    "running_order": _revert_order,
    "upkeep_snooze": _revert_pause,
}
