"""The timeline: what happened, entry by entry. Only ever added to."""

from collections.abc import Callable, Collection
from dataclasses import replace
from datetime import datetime, timedelta

from sqlalchemy import Select, exists, select
from sqlalchemy.orm import Session, aliased, joinedload

from logbook.entryline.format import spell_turn
from logbook.errors import BadInput, NotWritten
from logbook.records import checks
from logbook.records.check_entry import checked_entry
from logbook.records.entries import EntryRecord, NewEntry, ScrewSum, TrainRecord, Turn
from logbook.records.typed_line import TypedLine
from logbook.store.file import sqlite
from logbook.store.kit.trains import revision
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import UnitSession, name_unit
from logbook.store.tables.convert import train_record
from logbook.store.tables.models import EntryRow, StarLookRow, TurnRow
from logbook.store.timeline import rows, undo
from logbook.store.timeline.collimation_rows import screw_sums
from logbook.store.timeline.drafts import clear_draft
from logbook.store.timeline.night_sums import is_current
from logbook.store.timeline.rows import Cause
from logbook.store.timeline.unit_words import spoken

BOUNCE = timedelta(seconds=1.5)  # the same turn again so soon is one turn, logged twice


class Timeline:
    """Entries of nights, and of days (night None). What these return is on disk."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    def keep(
        self, night_id: int | None, new: NewEntry, *, typed: TypedLine | None = None
    ) -> EntryRecord:
        """Keep an entry; the draft it was typed as is cleared with it.

        Raises BadInput, NotFound, NotWritten; nothing was saved then.
        """
        checked = checked_entry(new)
        with self._sessions.writing() as session:
            row = self._append(session, night_id, checked)
            if typed is not None:
                clear_draft(session, typed)
            return _written(session, row)

    def correct(
        self,
        entry_id: int,
        new: NewEntry,
        *,
        typed: TypedLine | None = None,
        night_id: int | None = None,
    ) -> EntryRecord:
        """Put `new` in the place of an entry; the old text stays in its history.

        night_id -- the night it moves to; None leaves it where it is.
        """
        checked = checked_entry(new)
        with self._sessions.writing() as session:
            old = _standing(session, entry_id)
            where = old.night_id if night_id is None else night_id
            row = self._append(session, where, checked, old)
            if typed is not None:
                clear_draft(session, typed)
            return _written(session, row)

    def withdraw(self, entry_id: int) -> EntryRecord:
        """Take an entry out of the timeline; its history keeps it."""
        with self._sessions.writing() as session:
            old = _standing(session, entry_id)
            row = undo.append_withdrawn(session, old, Cause("withdraw", old.id), self._clock())
            name_unit(session, spoken(session, row, old))
            return _written(session, row)

    def of_night(self, night_id: int | None) -> tuple[EntryRecord, ...]:
        """The entries of a night that stand, in the order in which they happened."""
        statement = (
            select(EntryRow)
            .where(undo.in_night(night_id), is_current())
            .order_by(EntryRow.happened_utc, EntryRow.id)
        )
        return self._read(statement)

    def get(self, entry_id: int) -> EntryRecord:
        """One version of an entry, standing or not. Raises NotFound."""
        with self._sessions.reading() as session:
            row = rows.entry_row(session, entry_id)
            return rows.records_of(session, [row])[0]

    def versions(self, entry_ids: Collection[int]) -> tuple[EntryRecord, ...]:
        """These versions of entries, standing or not, oldest first; in one statement."""
        details = (
            EntryRow.readings,
            EntryRow.frames,
            EntryRow.turn,
            EntryRow.look,
            EntryRow.look_detail,
            EntryRow.check,
            EntryRow.adjustment,
            EntryRow.upkeep,
        )
        statement = select(EntryRow).where(EntryRow.id.in_(entry_ids)).order_by(EntryRow.id)
        with self._sessions.reading() as session:
            found = session.scalars(statement.options(*map(joinedload, details))).unique().all()
            return rows.records_of(session, found)

    def history(self, entry_id: int) -> tuple[EntryRecord, ...]:
        """Every version of an entry, oldest first, from the id of any of them."""
        with self._sessions.reading() as session:
            rows.entry_row(session, entry_id)
            return rows.records(session, _versions(entry_id))

    def taken_out(self, night_id: int | None) -> tuple[EntryRecord, ...]:
        """The lines of a night that were withdrawn and stay so, oldest first."""
        gone = aliased(EntryRow)
        newer = exists().where(aliased(EntryRow).supersedes_id == gone.id)
        statement = (
            select(EntryRow)
            .join(gone, gone.supersedes_id == EntryRow.id)
            .where(undo.in_night(night_id), gone.kind == "withdrawn", ~newer)
            .order_by(EntryRow.happened_utc, EntryRow.id)
        )
        return self._read(statement)

    def latest(self, limit: int = 20) -> tuple[EntryRecord, ...]:
        """The entries of any night that happened last, newest first."""
        newest_first = (EntryRow.happened_utc.desc(), EntryRow.id.desc())
        statement = select(EntryRow).where(is_current()).order_by(*newest_first)
        return self._read(statement.limit(max(limit, 0)))

    def turns(
        self,
        telescope_part_id: int,
        *,
        after_id: int = 0,
        up_to_id: int | None = None,
        until_utc: datetime | None = None,
        newest: int | None = None,
    ) -> tuple[EntryRecord, ...]:
        """Every turn of a screw on one telescope, in the order in which they happened.

        after_id, up_to_id -- only entries written in between, the second one included.
        until_utc -- only those that had happened then.
        newest -- only so many of those that happened last: all of twenty years take a second.
        """
        statement = (
            select(EntryRow)
            .join(TurnRow, TurnRow.entry_id == EntryRow.id)
            .where(EntryRow.kind == "turn", TurnRow.telescope_id == telescope_part_id, is_current())
            .where(EntryRow.id > after_id)
            .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
            .limit(newest)
        )
        if up_to_id is not None:
            statement = statement.where(EntryRow.id <= up_to_id)
        if until_utc is not None:
            statement = statement.where(EntryRow.happened_utc <= until_utc)
        return self._read(statement)[::-1]

    def last_look(self, telescope_part_id: int) -> EntryRecord | None:
        """The star test done last with one telescope."""
        statement = (
            select(EntryRow)
            .join(StarLookRow, StarLookRow.entry_id == EntryRow.id)
            .where(StarLookRow.telescope_id == telescope_part_id, is_current())
            .order_by(EntryRow.happened_utc.desc(), EntryRow.id.desc())
            .limit(1)
        )
        return next(iter(self._read(statement)), None)

    def screw_sums(self, telescope_part_id: int) -> tuple[ScrewSum, ...]:
        """How far each screw of a telescope was turned in all, tightening positive, by name."""
        with self._sessions.reading() as session:
            return screw_sums(session, telescope_part_id)

    def train_in_use(self, night_id: int, at_utc: datetime | None = None) -> TrainRecord | None:
        """The train on the telescope at that time of a night: now, unless a time is given."""
        at = checks.instant(self._clock() if at_utc is None else at_utc)
        with self._sessions.reading() as session:
            night = rows.night_used(session, night_id)
            found = rows.train_in_use(session, night, at)
            return None if found is None else train_record(revision(session, found))

    def _append(
        self,
        session: Session,
        night_id: int | None,
        new: NewEntry,
        old: EntryRow | None = None,
    ) -> EntryRow:
        night = None if night_id is None else rows.night_used(session, night_id)
        ids = rows.resolve(session, night, new, old)
        if new.turn is not None:
            name = rows.screw_named(session, ids.telescope_id, new.turn.screw)
            new = replace(new, turn=replace(new.turn, screw=name))
            _check_put_back(session, new)
            if old is None:
                self._refuse_bounced(session, new.turn, new.happened_utc, ids.telescope_id)
        cause = None if old is None else Cause("correct", old.id)
        row = rows.append(session, night_id, new, ids, self._clock(), cause)
        name_unit(session, spoken(session, row, old))
        return row

    def _refuse_bounced(
        self, session: Session, turn: Turn | None, at_utc: datetime, telescope_id: int | None
    ) -> None:
        """A key that bounces, or is hit twice in gloves, must not turn a screw twice."""
        if turn is None:
            return
        statement = (
            select(TurnRow)
            .join(EntryRow, TurnRow.entry_id == EntryRow.id)
            .where(
                TurnRow.telescope_id == telescope_id,
                TurnRow.screw == turn.screw,
                TurnRow.turns == turn.turns,
                EntryRow.recorded_utc > self._clock() - BOUNCE,
                EntryRow.happened_utc > at_utc - BOUNCE,
                EntryRow.happened_utc < at_utc + BOUNCE,
                is_current(),
            )
        )
        if session.scalars(statement).first() is not None:
            raise BadInput(
                f"Kept already: {spell_turn(turn)}. If it was turned once more, wait a moment and "
                "keep that too."
            )

    def _read(self, statement: Select[EntryRow]) -> tuple[EntryRecord, ...]:
        with self._sessions.reading() as session:
            return rows.records(session, statement)


def _written(session: UnitSession, row: EntryRow) -> EntryRecord:
    (record,) = rows.records_of(session, [row])
    session.unit.entries[record.id] = record
    return record


def _standing(session: Session, entry_id: int) -> EntryRow:
    """An entry that may be corrected: it stands as it was last seen."""
    row = rows.entry_row(session, entry_id)
    newer = session.scalar(select(EntryRow.id).where(EntryRow.supersedes_id == entry_id))
    if newer is not None:
        raise NotWritten(
            "Not saved: this line was changed meanwhile, perhaps by another program. "
            f"{sqlite.STILL_HERE}: look at the line as it is now, then change that."
        )
    if row.kind == "withdrawn":
        raise BadInput("this line was taken out; undo brings it back")
    return row


def _check_put_back(session: Session, new: NewEntry) -> None:
    if new.turn is None or new.turn.puts_back_entry_id is None:
        return
    if rows.entry_row(session, new.turn.puts_back_entry_id).kind != "turn":
        raise BadInput("only a turn of a screw can be put back")


def _versions(entry_id: int) -> Select[EntryRow]:
    """A chain walked back to its first version, then forward from there."""
    back = (
        select(EntryRow.id, EntryRow.supersedes_id)
        .where(EntryRow.id == entry_id)
        .cte("back", recursive=True)
    )
    older = aliased(EntryRow)
    back = back.union_all(
        select(older.id, older.supersedes_id).where(older.id == back.c.supersedes_id)
    )
    chain = select(back.c.id).where(back.c.supersedes_id.is_(None)).cte("chain", recursive=True)
    newer = aliased(EntryRow)
    chain = chain.union_all(select(newer.id).where(newer.supersedes_id == chain.c.id))
    return select(EntryRow).where(EntryRow.id.in_(select(chain.c.id))).order_by(EntryRow.id)
