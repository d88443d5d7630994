"""Frames found on disk: which are counted, and adding a run of them, each frame once.

A frame is known by the identity of its exposure. It counts while the version of the entry that
stands holds it: a withdrawn or undone run may be added again, a corrected one may not.
"""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import Session

from logbook.frames.header import Frame
from logbook.frames.runs import Run
from logbook.records.check_entry import checked_entry
from logbook.records.entries import EntryRecord, NightRecord
from logbook.store.frames.entry import grown
from logbook.store.kit.trains import in_use_at
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import name_unit
from logbook.store.tables import convert
from logbook.store.tables.models import EntryRow, FrameFileRow, NightRow
from logbook.store.timeline import rows as timeline_rows
from logbook.store.timeline.night_sums import night_stands
from logbook.store.timeline.nights import Nights, night_row
from logbook.store.timeline.rows import Cause
from logbook.store.timeline.unit_words import spoken
from logbook.text import clean

if TYPE_CHECKING:
    from logbook.store.frames.plan import NightToBegin, PlannedRun

_AT_ONCE = 500  # identities asked for in one statement


@dataclass(frozen=True, slots=True)
class Added:
    """What was saved of a run. `grew`: it took the place of an entry that had fewer frames."""

    entry: EntryRecord
    new: int
    grew: bool


class FrameFiles:
    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def now(self) -> datetime:
        """The time by the book's clock."""
        return self._clock()

    def counted(self, identities: Sequence[str]) -> dict[str, int]:
        """Those of these frames that are in the book, with the entry that holds each."""
        with self._sessions.reading() as session:
            return _counted(session, identities)

    def nights_between(self, first: date, last: date) -> tuple[NightRecord, ...]:
        """The nights of these dates, at any site."""
        between = NightRow.local_date.between(first, last)
        statement = select(NightRow.id).where(between, night_stands())
        with self._sessions.reading() as session:
            ids = session.scalars(statement.order_by(NightRow.local_date, NightRow.id)).all()
        nights = Nights(self._sessions, self._clock)
        return tuple(nights.get(night_id) for night_id in ids)

    def add(self, planned: PlannedRun) -> Added | None:
        """Keep what is new of a run, in one transaction; None if all of it is in the book by now.

        The book is asked again under the lock, so that two programs never count a frame twice.
        Raises BadInput, NotWritten; nothing was saved then.
        """
        with self._sessions.writing() as session:
            counted = _counted(session, [frame.identity for frame in planned.run.frames])
            new = [frame for frame in planned.run.frames if frame.identity not in counted]
            if not new:
                return None
            old = _entry_to_grow(session, planned.run, counted, new[0])
            if old is None:
                row = self._append(session, planned, new)
            else:
                row = self._grow(session, planned, old, counted, new)
            _remember(session, row, new)
            before = None if old is None else session.get_one(EntryRow, old.id)
            name_unit(session, spoken(session, row, before))
            return Added(timeline_rows.records_of(session, [row])[0], len(new), old is not None)

    def _append(self, session: Session, planned: PlannedRun, new: Sequence[Frame]) -> EntryRow:
        entry = checked_entry(planned.entry_of(new))
        if planned.begins is not None:
            night = _begun(session, planned.begins, planned.run)
        else:
            assert planned.night is not None
            night = night_row(session, planned.night.id)
        ids = timeline_rows.resolve(session, timeline_rows.night_used(session, night.id), entry)
        return timeline_rows.append(session, night.id, entry, ids, self._clock())

    def _grow(
        self,
        session: Session,
        planned: PlannedRun,
        old: EntryRow,
        counted: dict[str, int],
        new: Sequence[Frame],
    ) -> EntryRow:
        held = [each for each in planned.run.frames if counted.get(each.identity) == old.id]
        run = Run(tuple(sorted([*held, *new], key=lambda each: each.exposed_utc)))
        before = convert.content_of(old, None)
        entry = checked_entry(grown(before, run, len(new)))
        night_id = old.night_id
        night = None if night_id is None else timeline_rows.night_used(session, night_id)
        ids = timeline_rows.resolve(session, night, entry, old)
        cause = Cause("correct", old.id)
        return timeline_rows.append(session, old.night_id, entry, ids, self._clock(), cause)


def _remember(session: Session, row: EntryRow, frames: Iterable[Frame]) -> None:
    session.add_all(
        FrameFileRow(
            entry_id=row.id,
            identity=frame.identity,
            file_name=clean(frame.path.name, longest=1000),
            exposed_utc=frame.exposed_utc,
            exposure_s=frame.exposure_s,
        )
        for frame in frames
    )
    session.flush()


def _begun(session: Session, wanted: NightToBegin, run: Run) -> NightRow:
    """The past night of a run, begun if it is not there; it ends with its last frame.

    Other than a night begun at the telescope it leaves the night in progress as it is.
    """
    statement = select(NightRow).where(
        NightRow.local_date == wanted.local_date, NightRow.site_id == wanted.site.id
    )
    night = session.scalars(statement).first()
    if night is None:
        night = NightRow(
            uid=str(uuid.uuid4()),
            local_date=wanted.local_date,
            site_id=wanted.site.id,
            time_zone=wanted.site.site.time_zone,
            train_revision_id=_train_then(session, wanted, run),
            observer="",
            started_utc=run.begins_utc,
            ended_utc=run.ends_utc,
        )
        session.add(night)
        session.flush()
    elif night.ended_utc is not None:
        night.ended_utc = max(night.ended_utc, run.ends_utc)
    return night


def _train_then(session: Session, wanted: NightToBegin, run: Run) -> int | None:
    if wanted.train is None:
        return None
    return in_use_at(session, wanted.train.id, run.begins_utc).id


def _entry_to_grow(
    session: Session, run: Run, counted: dict[str, int], new: Frame
) -> EntryRow | None:
    """The entry that holds the frame of the run nearest in time; it must still be of frames."""
    held = [frame for frame in run.frames if frame.identity in counted]
    for frame in sorted(held, key=lambda each: abs(each.exposed_utc - new.exposed_utc)):
        row = timeline_rows.entry_row(session, counted[frame.identity])
        if row.kind == "frames" and row.frames is not None:
            return row
    return None


def _counted(session: Session, identities: Sequence[str]) -> dict[str, int]:
    found: dict[str, int] = {}
    for at in range(0, len(identities), _AT_ONCE):
        found |= _counted_of(session, identities[at : at + _AT_ONCE])
    return found


def _counted_of(session: Session, identities: Sequence[str]) -> dict[str, int]:
    """Follow the entries that ever held these frames to the versions that stand."""
    files = select(FrameFileRow.entry_id, FrameFileRow.identity)
    own: dict[int, set[str]] = defaultdict(set)
    for entry_id, identity in session.execute(files.where(FrameFileRow.identity.in_(identities))):
        own[entry_id].add(identity)
    if not own:
        return {}
    versions = _versions(session, identities)
    holds = _holdings(versions, own)
    superseded = {row.supersedes_id for row in versions.values()}
    return {
        identity: entry_id
        for entry_id, row in versions.items()
        if entry_id not in superseded and row.kind != "withdrawn"
        for identity in holds[entry_id]
    }


@dataclass(frozen=True, slots=True)
class _Version:
    kind: str
    supersedes_id: int | None
    cause: str | None
    undoes_id: int | None


def _versions(session: Session, identities: Sequence[str]) -> dict[int, _Version]:
    """The entries that hold these frames and all that took their place, oldest first."""
    first = select(FrameFileRow.entry_id.label("id")).where(FrameFileRow.identity.in_(identities))
    chain = first.distinct().cte("chain", recursive=True)
    chain = chain.union(select(EntryRow.id).where(EntryRow.supersedes_id == chain.c.id))
    statement = (
        select(
            EntryRow.id,
            EntryRow.kind,
            EntryRow.supersedes_id,
            EntryRow.cause,
            EntryRow.undoes_id,
        )
        .where(EntryRow.id.in_(select(chain.c.id)))
        .order_by(EntryRow.id)
    )
    return {
        entry_id: _Version(kind, supersedes_id, cause, undoes_id)
        for entry_id, kind, supersedes_id, cause, undoes_id in session.execute(statement)
    }


def _holdings(versions: dict[int, _Version], own: dict[int, set[str]]) -> dict[int, set[str]]:
    """Which frames each version counts; undoing brings back what an older version had.

    A version that is not among these came before any of the frames, and holds none.
    """
    holds: dict[int, set[str]] = defaultdict(set)
    for entry_id, row in versions.items():
        holds[entry_id] = own.get(entry_id, set()) | _inherited(row, versions, holds)
    return holds


def _inherited(
    row: _Version, versions: dict[int, _Version], holds: dict[int, set[str]]
) -> set[str]:
    if row.cause == "correct":
        return holds.get(row.supersedes_id or 0, set())
    undone = versions.get(row.undoes_id or 0)
    if undone is None:
        return set()
    if row.cause == "undo":
        return holds.get(undone.supersedes_id or 0, set())
    return holds.get(undone.undoes_id or 0, set())  # redo
