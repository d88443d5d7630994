"""What the rows of a book say that cannot be, or hardly can."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.records.entries import ENTRY_KINDS, READING_RANGES
from logbook.sky.night.clock import night_date, zone_of
from logbook.store.tables.models import (
    AdjustmentRow,
    EntryRow,
    FramesRow,
    NightRow,
    ReadingRow,
    StarCheckRow,
    StarLookRow,
    TurnRow,
    UpkeepRow,
)
from logbook.store.timeline.night_sums import is_current

_DETAILS = {
    "adjust": AdjustmentRow.entry_id,
    "check": StarCheckRow.entry_id,
    "frames": FramesRow.entry_id,
    "reading": ReadingRow.entry_id,
    "star": StarLookRow.entry_id,
    "turn": TurnRow.entry_id,
    "upkeep": UpkeepRow.entry_id,
}
_AHEAD = timedelta(minutes=2)  # two clocks of one evening may differ so much
_MOST_OF_A_KIND = 5


@dataclass(frozen=True, slots=True)
class Finding:
    """Something not as it should be. A damage means that the file, or a row, is not whole."""

    is_damage: bool
    words: str


def row_findings(session: Session, folder: Path) -> tuple[Finding, ...]:
    """Everything found wrong in the rows, damage first; `folder` is where the book lies."""
    found = [finding for check in _CHECKS for finding in _few(list(check(session)))]
    found += _pictures_gone(session, folder)
    return tuple(sorted(found, key=lambda each: not each.is_damage))


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


def _without_detail(session: Session) -> Iterator[Finding]:
    """Entries that lost what makes them what they are."""
    for kind, detail in _DETAILS.items():
        bare = select(EntryRow.id).where(EntryRow.kind == kind, EntryRow.id.not_in(select(detail)))
        for entry_id in session.scalars(bare.order_by(EntryRow.id)):
            yield Finding(True, f"entry {entry_id} is a {kind}, and what belongs to it is gone")


def _nights(session: Session) -> Iterator[Finding]:
    """Nights that end before they begin, or never did though others followed at their site."""
    going_on: dict[int, date] = {}
    for row in session.scalars(select(NightRow).order_by(NightRow.started_utc, NightRow.id)):
        before = going_on.pop(row.site_id, None)
        if before is not None:
            words = f"the night of {before} never ended, though one of {row.local_date} followed"
            yield Finding(False, words)
        if row.ended_utc is None:
            going_on[row.site_id] = row.local_date
        elif row.ended_utc < row.started_utc:
            back = round((row.started_utc - row.ended_utc).total_seconds() / 60)
            yield Finding(False, f"the night of {row.local_date} ended {back} min before it began")


def _pictures_gone(session: Session, folder: Path) -> Iterator[Finding]:
    """All in one line: a book that came from another machine may have none of them."""
    named = (
        (StarLookRow.entry_id, StarLookRow.picture_path),
        (UpkeepRow.entry_id, UpkeepRow.photo_path),
    )
    gone = [
        (entry_id, path)
        for columns in named
        for entry_id, path in session.execute(select(*columns).where(columns[1] > ""))
        if not _is_there(folder, str(path))
    ]
    if gone:
        entry_id, path = gone[0]
        more = f" and {len(gone) - 1} more are" if len(gone) > 1 else " is"
        yield Finding(False, f"the picture of entry {entry_id}{more} not there: {path}")


def _is_there(folder: Path, named: str) -> bool:
    try:
        return (folder / Path(named).expanduser()).exists()
    except (OSError, ValueError, RuntimeError):
        return False


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


_CHECKS = (_orphans, _without_detail, _nights, _ranges, _clock_jumps, _outside_their_night)
