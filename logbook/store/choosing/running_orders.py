"""Running orders: what is meant to be done in a night, in order."""

import uuid
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from logbook.errors import BadInput
from logbook.records import checks
from logbook.records.check_entry import checked_target
from logbook.records.choosing import OrderItem, RunningOrderRecord
from logbook.store.kit.sites import site_row
from logbook.store.session.sessions import Sessions
from logbook.store.tables.convert import target_of
from logbook.store.tables.models import RunningOrderItemRow, RunningOrderRow, TargetRow
from logbook.store.timeline.rows import target_row

MOST_ITEMS = 200


class RunningOrders:
    """Running orders by site and date of the evening. The newest for both is the one that counts;
    an edited one is saved as a new one, so what was meant earlier can still be read."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def keep(
        self, site_id: int, local_date: date, items: Sequence[OrderItem]
    ) -> RunningOrderRecord:
        """Keep a running order; without items it says that nothing is planned any more.

        Raises BadInput, NotFound.
        """
        checked = _checked(items)
        with self._sessions.writing(f"the running order of {local_date.isoformat()}") as session:
            now = self._clock()
            site_row(session, site_id)
            row = append(session, site_id, local_date, checked, now)
            return _record(session, row)

    def newest(self, site_id: int, local_date: date) -> RunningOrderRecord | None:
        """The order that counts for a night at a site; None if none was ever saved."""
        statement = (
            select(RunningOrderRow)
            .where(RunningOrderRow.site_id == site_id, RunningOrderRow.local_date == local_date)
            .order_by(RunningOrderRow.id.desc())
            .limit(1)
        )
        with self._sessions.reading() as session:
            row = session.scalars(statement).first()
            return None if row is None else _record(session, row)

    def latest(self, site_id: int, most: int = 60) -> tuple[RunningOrderRecord, ...]:
        """The orders that count for the latest dates at a site, latest first."""
        ids = (
            select(func.max(RunningOrderRow.id))
            .where(RunningOrderRow.site_id == site_id)
            .group_by(RunningOrderRow.local_date)
            .order_by(RunningOrderRow.local_date.desc())
            .limit(most)
        )
        statement = (
            select(RunningOrderRow)
            .where(RunningOrderRow.id.in_(ids))
            .order_by(RunningOrderRow.local_date.desc())
        )
        with self._sessions.reading() as session:
            return tuple(_record(session, row) for row in session.scalars(statement))


def append(
    session: Session, site_id: int, local_date: date, items: Sequence[OrderItem], now: datetime
) -> RunningOrderRow:
    """One more order for that night; it is the one that counts."""
    row = RunningOrderRow(
        uid=str(uuid.uuid4()), site_id=site_id, local_date=local_date, made_utc=now
    )
    session.add(row)
    session.flush()
    for position, item in enumerate(items, start=1):
        _add_item(session, row, position, item, now)
    session.flush()
    return row


def items_of(session: Session, row: RunningOrderRow) -> tuple[OrderItem, ...]:
    return _record(session, row).items


def _checked(items: Sequence[OrderItem]) -> list[OrderItem]:
    if len(items) > MOST_ITEMS:
        raise BadInput(f"a running order holds at most {MOST_ITEMS} objects")
    return [_checked_item(each) for each in items]


def _checked_item(item: OrderItem) -> OrderItem:
    start = None if item.from_utc is None else checks.instant(item.from_utc, "the begin")
    end = None if item.to_utc is None else checks.instant(item.to_utc, "the end")
    if start is not None and end is not None and end <= start:
        raise BadInput(f"{item.target.name} would end before it begins")
    note = checks.line(item.note, "the note", 4000)
    return replace(item, target=checked_target(item.target), from_utc=start, to_utc=end, note=note)


def _add_item(
    session: Session, order: RunningOrderRow, position: int, item: OrderItem, now: datetime
) -> None:
    target = target_row(session, item.target, now)
    session.flush()
    session.add(
        RunningOrderItemRow(
            running_order_id=order.id,
            position=position,
            target_id=target.id,
            from_utc=item.from_utc,
            to_utc=item.to_utc,
            note=item.note,
        )
    )


def _record(session: Session, row: RunningOrderRow) -> RunningOrderRecord:
    statement = (
        select(RunningOrderItemRow, TargetRow)
        .join(TargetRow, TargetRow.id == RunningOrderItemRow.target_id)
        .where(RunningOrderItemRow.running_order_id == row.id)
        .order_by(RunningOrderItemRow.position)
    )
    items = tuple(
        OrderItem(target_of(target), item.from_utc, item.to_utc, item.note)
        for item, target in session.execute(statement)
    )
    return RunningOrderRecord(row.id, row.uid, row.site_id, row.local_date, row.made_utc, items)
