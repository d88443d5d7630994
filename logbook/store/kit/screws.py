"""The screws of a telescope, within a session of the caller's."""

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.records.entries import Screw
from logbook.store.tables.convert import screw_of
from logbook.store.tables.models import ScrewRow
from logbook.text import fold


def screws_of(session: Session, telescope_part_id: int) -> tuple[Screw, ...]:
    statement = (
        select(ScrewRow)
        .where(ScrewRow.part_id == telescope_part_id, ScrewRow.retired_utc.is_(None))
        .order_by(ScrewRow.id)
    )
    screws = [screw_of(row) for row in session.scalars(statement)]
    return tuple(sorted(screws, key=lambda screw: screw.clock_hour % 12))


def keep_screws(session: Session, part_id: int, screws: tuple[Screw, ...], now: datetime) -> None:
    rows = session.scalars(select(ScrewRow).where(ScrewRow.part_id == part_id))
    known = {fold(row.name): row for row in rows}
    wanted = {fold(screw.name) for screw in screws}
    for name, row in known.items():
        if name not in wanted and row.retired_utc is None:
            row.retired_utc = now
    for screw in screws:
        row = known.get(fold(screw.name)) or ScrewRow(part_id=part_id)
        row.name = screw.name
        row.clock_hour = screw.clock_hour
        row.tighten_clockwise = screw.tighten_clockwise
        row.lock_kind = screw.lock_kind
        row.retired_utc = None
        session.add(row)
