"""Whether a book is sound: the file itself, what its rows point at, and what they say."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.sky.clock import night_date, zone_of
from logbook.store.engine import Sessions
from logbook.store.models import EntryRow, NightRow, ReadingRow
from logbook.store.night_sums import is_current
from logbook.store.records import ENTRY_KINDS, READING_RANGES

_AHEAD = timedelta(minutes=2)  # two clocks of one evening may differ so much
_MOST_OF_A_KIND = 5


@dataclass(frozen=True, slots=True)
class Finding:
    """Something not as it should be. A damage means that the file, or a row, is not whole."""

    is_damage: bool
    words: str


def findings(sessions: Sessions) -> tuple[Finding, ...]:
    """Everything found wrong, damage first; empty for a sound book. Reads the whole file."""
    try:
        with closing(sessions.raw()) as connection:
            damage = tuple(Finding(True, words) for words in _damage(connection))
    except sqlite3.Error as error:
        damage = (Finding(True, f"the file cannot be read whole: {error}"),)
    if damage:
        return damage  # what the rows say can't be trusted then
    with sessions.reading() as session:
        checks = (_orphans, _ranges, _clock_jumps, _outside_their_night)
        return tuple(finding for check in checks for finding in _few(list(check(session))))


def _damage(connection: sqlite3.Connection) -> Iterator[str]:
    for row in connection.execute("PRAGMA integrity_check(5)"):
        if row[0] != "ok":
            yield f"the file: {row[0]}"
    for row in connection.execute("PRAGMA foreign_key_check").fetchmany(5):
        yield f"a row of {row[0]} (number {row[1]}) points at a {row[2]} that is missing"


def _few(found: list[Finding]) -> list[Finding]:
    if len(found) <= _MOST_OF_A_KIND:
        return found
    more = len(found) - _MOST_OF_A_KIND
    last = Finding(found[0].is_damage, f"… and {more} more like the last one")
    return [*found[:_MOST_OF_A_KIND], last]


def _orphans(session: Session) -> Iterator[Finding]:
    """Entries of a kind this program doesn't know, or that correct a later one."""
    for row in session.scalars(select(EntryRow).where(EntryRow.kind.not_in(ENTRY_KINDS))):
        yield Finding(True, f"entry {row.id} is of an unknown kind: {row.kind}")
    backward = select(EntryRow.id, EntryRow.supersedes_id).where(
        EntryRow.supersedes_id >= EntryRow.id
    )
    for entry_id, other_id in session.execute(backward):
        yield Finding(True, f"entry {entry_id} takes the place of entry {other_id}, a later one")


def _ranges(session: Session) -> Iterator[Finding]:
    statement = select(ReadingRow).join(EntryRow, EntryRow.id == ReadingRow.entry_id)
    for row in session.scalars(statement.where(is_current())):
        low, high = READING_RANGES.get(row.quantity, (float("-inf"), float("inf")))
        if not low <= row.number <= high:
            yield Finding(
                False, f"entry {row.entry_id}: {row.quantity} {row.number:g} is not possible"
            )


def _clock_jumps(session: Session) -> Iterator[Finding]:
    """The computer's clock went back between two entries, or an entry lies in its future."""
    statement = select(EntryRow.id, EntryRow.recorded_utc, EntryRow.happened_utc)
    before = None
    for entry_id, recorded, happened in session.execute(statement.order_by(EntryRow.id)):
        if before is not None and recorded < before - _AHEAD:
            back = round((before - recorded).total_seconds() / 60)
            yield Finding(
                False,
                f"entry {entry_id}, kept {recorded:%Y-%m-%d %H:%M} UTC: the computer's clock had "
                f"gone back {back} min",
            )
        if happened > recorded + _AHEAD:
            yield Finding(
                False,
                f"entry {entry_id} happened at {happened:%Y-%m-%d %H:%M} UTC, after it was kept",
            )
        before = recorded


def _outside_their_night(session: Session) -> Iterator[Finding]:
    statement = select(EntryRow.id, EntryRow.happened_utc, NightRow.local_date, NightRow.time_zone)
    joined = statement.join(NightRow, NightRow.id == EntryRow.night_id).where(is_current())
    for entry_id, happened, local_date, zone in session.execute(joined.order_by(EntryRow.id)):
        if night_date(happened, zone_of(zone)) != local_date:
            yield Finding(
                False,
                f"entry {entry_id} ({happened:%Y-%m-%d %H:%M} UTC) lies outside its night of "
                f"{local_date}",
            )
