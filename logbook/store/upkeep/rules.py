"""Rules for upkeep, and what is due by them.

A rule counts from the last time its work was logged: an upkeep entry on its part whose words hold
the beginnings of all the words of the rule ("mirror rinse" is done by "mirror rinsed with water").
Until it was done once, it counts from the day it was set.
"""

import uuid
from collections.abc import Callable
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from logbook.errors import BadInput, NotFound
from logbook.records import checks
from logbook.records.check_upkeep import checked_rule
from logbook.records.entries import EntryRecord
from logbook.records.upkeep import Due, UpkeepRule, UpkeepRuleRecord
from logbook.store.kit.parts import find_part, newest_part
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import name_unit
from logbook.store.tables.models import (
    EntryRow,
    PartRevisionRow,
    UpkeepRow,
    UpkeepRuleRow,
    UpkeepSnoozeRow,
)
from logbook.store.timeline import rows
from logbook.store.timeline.night_sums import is_current
from logbook.store.upkeep.counts import Since, Use, last_done, since_then
from logbook.text import clean

__all__ = ["LONGEST_SNOOZE", "Due", "Upkeep", "UpkeepRule", "UpkeepRuleRecord"]

LONGEST_SNOOZE = timedelta(days=400)


class Upkeep:
    """Rules for upkeep. Methods that take an id raise NotFound; those that keep, BadInput."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def rules(self) -> tuple[UpkeepRuleRecord, ...]:
        """Every rule in force, oldest first."""
        with self._sessions.reading() as session:
            return tuple(_record(session, row) for row in _rows(session))

    def add(self, rule: UpkeepRule) -> UpkeepRuleRecord:
        """Keep a new rule. It counts from now, or from the last time its work was logged."""
        checked = checked_rule(rule)
        with self._sessions.writing(f"the rule {checked.action}") as session:
            return _record(session, _added(session, checked, self._clock()))

    def change(self, rule_id: int, rule: UpkeepRule) -> UpkeepRuleRecord:
        """Put a rule in the place of another, which is retired; what was counted stays counted.

        A pause of the old one ends with it.
        """
        checked = checked_rule(rule)
        with self._sessions.writing(f"the change of the rule {checked.action}") as session:
            old = _row(session, rule_id)
            old.retired_utc = self._clock()
            return _record(session, _added(session, checked, old.created_utc))

    def retire(self, rule_id: int) -> None:
        """Leave a rule out from now on."""
        with self._sessions.writing() as session:
            row = _row(session, rule_id)
            row.retired_utc = self._clock()
            name_unit(session, f"the retirement of the rule {row.action}")

    def snooze(self, rule_id: int, until_utc: datetime) -> None:
        """Say nothing of a rule until then."""
        until, now = checks.instant(until_utc, "the end of the pause"), self._clock()
        if not now < until <= now + LONGEST_SNOOZE:
            raise BadInput("Put it off to a day to come, within the next 400 days.")
        with self._sessions.writing() as session:
            row = _row(session, rule_id)
            name_unit(session, f"the pause of the rule {row.action}")
            session.add(UpkeepSnoozeRow(upkeep_rule_id=row.id, said_utc=now, until_utc=until))

    def wake(self, rule_id: int) -> None:
        """End the pause of a rule now."""
        now = self._clock()
        with self._sessions.writing() as session:
            row = _row(session, rule_id)
            name_unit(session, f"the end of the pause of the rule {row.action}")
            session.add(UpkeepSnoozeRow(upkeep_rule_id=row.id, said_utc=now, until_utc=now))

    def history(self, part_name: str | None = None) -> tuple[EntryRecord, ...]:
        """What was done, newest first: to everything, or to one part.

        A name that is no part of the book finds what was saved under it. Raises NotFound where
        there is neither, naming what there is.
        """
        statement = (
            select(EntryRow)
            .join(UpkeepRow, UpkeepRow.entry_id == EntryRow.id)
            .where(is_current())
            .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
        )
        with self._sessions.reading() as session:
            if part_name is None:
                return rows.records(session, statement)
            part = find_part(session, part_name)
            if part is not None:
                on_it = statement.where(UpkeepRow.part_id == part.part_id)
                return rows.records(session, on_it)
            under_it = func.lower(UpkeepRow.part_name) == part_name.strip().lower()
            found = rows.records(session, statement.where(under_it))
            names = session.scalars(select(UpkeepRow.part_name).distinct())
            known = ", ".join(sorted(filter(None, names))) or "none yet"
        if not found:
            named = clean(part_name, longest=60)
            raise NotFound(f"Nothing was done to {named!r}. Parts with upkeep: {known}")
        return found

    def due(self, at_utc: datetime | None = None) -> tuple[Due, ...]:
        """Every rule with how far it has come, the most pressing first, those put off last."""
        at = checks.instant(self._clock() if at_utc is None else at_utc)
        with self._sessions.reading() as session:
            found = [_due(session, row, at) for row in _rows(session)]
        return tuple(sorted(found, key=lambda due: (due.snoozed_until_utc is not None, -due.share)))


def _added(session: Session, rule: UpkeepRule, counts_from_utc: datetime) -> UpkeepRuleRow:
    row = UpkeepRuleRow(
        uid=str(uuid.uuid4()),
        part_id=_part_id(session, rule.part_name),
        action=rule.action,
        every_nights=rule.every_nights,
        every_months=rule.every_months,
        every_hours_of_use=rule.every_hours_of_use,
        every_step_c=rule.every_step_c,
        after_transport=rule.after_transport,
        created_utc=counts_from_utc,
    )
    session.add(row)
    session.flush()
    return row


def _rows(session: Session) -> list[UpkeepRuleRow]:
    statement = select(UpkeepRuleRow).where(UpkeepRuleRow.retired_utc.is_(None))
    return list(session.scalars(statement.order_by(UpkeepRuleRow.id)))


def _row(session: Session, rule_id: int) -> UpkeepRuleRow:
    row = session.get(UpkeepRuleRow, rule_id)
    if row is None or row.retired_utc is not None:
        raise NotFound(f"There is no rule number {rule_id}.")
    return row


def _record(session: Session, row: UpkeepRuleRow) -> UpkeepRuleRecord:
    part: PartRevisionRow | None = None
    if row.part_id is not None:
        part = newest_part(session, row.part_id)
    rule = UpkeepRule(
        row.action,
        part.name if part is not None else None,
        row.every_nights,
        row.every_months,
        row.every_hours_of_use,
        row.every_step_c,
        row.after_transport,
    )
    return UpkeepRuleRecord(row.id, row.uid, rule, row.created_utc)


def _part_id(session: Session, name: str | None) -> int | None:
    if name is None:
        return None
    found = find_part(session, name)
    if found is None:
        raise NotFound(f"There is no part {name!r}: write it down first, or leave the part out.")
    return found.part_id


def _due(session: Session, row: UpkeepRuleRow, at: datetime) -> Due:
    done = last_done(session, row.part_id, row.action, at)
    since = Since(done or row.created_utc, at)
    use = since_then(session, row.part_id, since)
    shares = [each for each in _shares(row, since, use) if each is not None]
    share = max((number for number, _ in shares), default=0.0)
    reasons = tuple(words for number, words in sorted(shares, reverse=True))
    return Due(_record(session, row), share, reasons, done, _snoozed(session, row.id, at))


def _shares(row: UpkeepRuleRow, since: Since, use: Use) -> list[tuple[float, str] | None]:
    """How far each limit of a rule has come, in numbers and words."""
    return [
        _share(use.nights, row.every_nights, "{0:.0f} of {1:g} nights"),
        _share(since.months, row.every_months, "{0:.1f} of {1:g} months"),
        _share(use.hours, row.every_hours_of_use, "{0:.1f} of {1:g} hours of use"),
        _share(use.step_c, row.every_step_c, "{0:.1f} of {1:g} °C"),
        _share(use.transports, 1 if row.after_transport else None, "moved since then: {0:.0f}"),
    ]


def _share(number: float | None, limit: float | None, words: str) -> tuple[float, str] | None:
    if number is None or limit is None:
        return None
    return number / limit, words.format(number, limit)


def _snoozed(session: Session, rule_id: int, at: datetime) -> datetime | None:
    """The end of the pause set last, if it is still to come."""
    statement = (
        select(UpkeepSnoozeRow.until_utc)
        .where(UpkeepSnoozeRow.upkeep_rule_id == rule_id)
        .order_by(UpkeepSnoozeRow.id.desc())
        .limit(1)
    )
    until = session.scalar(statement)
    return until if until is not None and until > at else None
