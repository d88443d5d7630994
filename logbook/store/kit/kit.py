"""What the user has: parts, trains of parts, and the screws of each telescope.

Every change of a part or a train is a new revision; what an old night points at stays.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select

from logbook.errors import BadInput, NotFound
from logbook.kit.parts.part import Part, Placement, Train
from logbook.records import checks
from logbook.records.check_kit import (
    NAME_LENGTH,
    NOTE_LENGTH,
    checked_part,
    checked_placements,
    checked_screws,
)
from logbook.records.entries import PartRecord, Screw, TrainRecord
from logbook.records.names import TakenNames
from logbook.store.kit import parts as part_rows
from logbook.store.kit import screws as screw_rows
from logbook.store.kit import trains
from logbook.store.session.sessions import Sessions
from logbook.store.session.units import name_unit
from logbook.store.tables.convert import part_record, train_record
from logbook.store.tables.former_names import forget_part_names, former_names, rename_in_projects
from logbook.store.tables.models import PartRevisionRow
from logbook.text import clean


class KitStore:
    """Parts and trains. Methods that take an id raise NotFound; those that keep, BadInput."""

    def __init__(self, sessions: Sessions, clock: Callable[[], datetime]) -> None:
        self._sessions = sessions
        self._clock = clock

    # Parts

    def parts(self, *, include_retired: bool = False) -> tuple[PartRecord, ...]:
        """Every part as it stands now, by kind and name."""
        with self._sessions.reading() as session:
            rows = part_rows.newest_parts(session, include_retired=include_retired)
            return tuple(part_record(row) for row in rows)

    def part(self, part_id: int) -> PartRecord:
        with self._sessions.reading() as session:
            return part_record(part_rows.newest_part(session, part_id))

    def part_named(self, name: str) -> PartRecord:
        """The part of that name, in any case and with or without accents."""
        with self._sessions.reading() as session:
            row = part_rows.find_part(session, name)
            if row is not None:
                return part_record(row)
            names = ", ".join(each.name for each in part_rows.newest_parts(session)) or "none yet"
        raise NotFound(f"There is no part {clean(name, longest=60)!r}. Parts: {names}")

    def part_history(self, part_id: int) -> tuple[PartRecord, ...]:
        """Every revision of a part, oldest first."""
        statement = select(PartRevisionRow).where(PartRevisionRow.part_id == part_id)
        with self._sessions.reading() as session:
            part_rows.newest_part(session, part_id)
            rows = session.scalars(statement.order_by(PartRevisionRow.revision))
            return tuple(part_record(row) for row in rows)

    def part_names(self) -> TakenNames:
        """The names that parts bear; that of a retired one is free."""
        with self._sessions.reading() as session:
            return part_rows.names(session)

    def add_part(self, part: Part) -> PartRecord:
        checked = checked_part(part)
        with self._sessions.writing(f"{checked.kind} {checked.name}") as session:
            return part_record(part_rows.add(session, checked, self._clock()))

    def revise_part(self, part_id: int, part: Part, why: str = "") -> PartRecord:
        """Keep a part as it is now, and every train in use that holds it, as new revisions."""
        checked = checked_part(part)
        reason = checks.line(why, "why the part was changed", NOTE_LENGTH)
        with self._sessions.writing(f"the change of {checked.kind} {checked.name}") as session:
            old = part_rows.newest_part(session, part_id)
            if checked.kind != old.part.kind:
                raise BadInput(f"{old.name} is a {old.part.kind}: add a new part instead.")
            part_rows.names(session).besides(part_id).refuse(checked.name)
            now = self._clock()
            row = part_rows.revision_row(old.part, checked, old.revision + 1, reason, now)
            session.add(row)
            session.flush()
            forget_part_names(session)
            if row.part.kind == "filter" and checked.name != old.name:
                rename_in_projects(session, old.name, checked.name)
            trains.follow_part(session, row, f"{checked.name}: {reason}".removesuffix(": "), now)
            return part_record(row)

    def rename_part(self, part_id: int, name: str) -> PartRecord:
        """Call a part otherwise from now on, on the pages of old nights too."""
        record = self.part(part_id)
        kept = checks.line(name, "the part's name", NAME_LENGTH, wanted=True)
        why = f"renamed from {record.part.name}"
        return self.revise_part(part_id, replace(record.part, name=kept), why)

    def retire_part(self, part_id: int) -> None:
        """Leave a part out of every list from now on. Refused while a train in use holds it."""
        with self._sessions.writing() as session:
            row = part_rows.newest_part(session, part_id)
            holders = [each.train.name for each in trains.holding(session, part_id)]
            if holders:
                raise BadInput(
                    f"{row.name} is in {', '.join(holders)}. Take it out or retire the train first."
                )
            row.part.retired_utc = self._clock()
            name_unit(session, f"the retirement of {row.name}")

    def bring_back_part(self, part_id: int) -> PartRecord:
        """A retired part is on the shelf again. Refused while another one bears its name."""
        with self._sessions.writing() as session:
            row = part_rows.newest_part(session, part_id)
            part_rows.names(session).besides(part_id).refuse(row.name)
            row.part.retired_utc = None
            name_unit(session, f"the return of {row.name}")
            session.flush()
            return part_record(row)

    # Trains

    def trains(self, include_retired: bool = False) -> tuple[TrainRecord, ...]:
        """Every train as it stands now, by name."""
        with self._sessions.reading() as session:
            rows = trains.newest(session, include_retired=include_retired)
            return tuple(train_record(row) for row in rows)

    def train_names(self) -> TakenNames:
        """The names that trains bear, retired ones too."""
        with self._sessions.reading() as session:
            return trains.names(session)

    def train(self, train_id: int) -> TrainRecord:
        with self._sessions.reading() as session:
            return train_record(trains.newest_of(session, train_id))

    def train_named(self, name: str) -> TrainRecord:
        """The train of that name, in any case and with or without accents."""
        with self._sessions.reading() as session:
            return train_record(trains.named(session, name))

    def train_at(self, revision_id: int) -> TrainRecord:
        """A train as it stood at one of its revisions."""
        with self._sessions.reading() as session:
            return train_record(trains.revision(session, revision_id))

    def train_history(self, train_id: int) -> tuple[TrainRecord, ...]:
        """Every revision of a train, oldest first."""
        with self._sessions.reading() as session:
            rows = trains.history(session, train_id)
            return tuple(train_record(row) for row in rows)

    def add_train(
        self,
        name: str,
        kind: str,
        part_ids: tuple[int, ...],
        carried_ids: tuple[int, ...] = (),
        placements: Iterable[Placement] = (),
    ) -> TrainRecord:
        """Keep a new train: parts in the order light meets them, and what rides along.

        placements -- where parts are set.
        """
        checked = checked_placements(placements)
        with self._sessions.writing(f"train {name}") as session:
            row = trains.add(session, name, kind, part_ids, carried_ids, self._clock(), checked)
            return train_record(row)

    def add_train_with_wishes(
        self, train: Train, part_ids: Mapping[str, int], wishes: tuple[Part, ...]
    ) -> TrainRecord:
        """Keep a train that was tried out, and parts of it that are not on the shelf yet.

        part_ids -- of the parts of the train that are in the book already, by name.
        wishes -- the others; each is added under the name it has in the train.
        """
        checked = tuple(checked_part(part) for part in wishes)
        placements = checked_placements(train.placements)
        with self._sessions.writing(f"train {train.name}") as session:
            now = self._clock()
            added = {part.name: part_rows.add(session, part, now).part_id for part in checked}
            ids = {**part_ids, **added}
            path = tuple(ids[part.name] for part in train.parts)
            carried = tuple(ids[part.name] for part in train.carried)
            return train_record(
                trains.add(session, train.name, train.kind, path, carried, now, placements)
            )

    def revise_train(
        self,
        train_id: int,
        part_ids: tuple[int, ...],
        carried_ids: tuple[int, ...] = (),
        note: str = "",
        placements: Iterable[Placement] = (),
    ) -> TrainRecord:
        """Keep the train with these parts from now on.

        placements -- where parts are set; a part that stays and is not named stays as it was.
        """
        checked = checked_placements(placements)
        with self._sessions.writing() as session:
            row = trains.revise(
                session, train_id, part_ids, carried_ids, note, self._clock(), checked
            )
            name_unit(session, f"the change of train {row.train.name}")
            return train_record(row)

    def rename_train(self, train_id: int, name: str) -> TrainRecord:
        """Call a train otherwise from now on, on the pages of old nights too."""
        with self._sessions.writing() as session:
            return train_record(trains.rename(session, train_id, name, self._clock()))

    def clone_train(self, train_id: int, name: str) -> TrainRecord:
        """Keep a second train of the same parts, set as they are, under another name."""
        with self._sessions.writing(f"train {name}") as session:
            row = trains.clone(session, train_id, name, self._clock())
            return train_record(row)

    def retire_train(self, train_id: int) -> None:
        """Leave a train out of every list from now on."""
        with self._sessions.writing() as session:
            train = trains.newest_of(session, train_id).train
            train.retired_utc = self._clock()
            name_unit(session, f"the retirement of train {train.name}")

    def bring_back_train(self, train_id: int) -> TrainRecord:
        """A retired train is in use again, with its parts as they are now.

        Refused while one of them is retired.
        """
        with self._sessions.writing() as session:
            row = trains.bring_back(session, train_id, self._clock())
            name_unit(session, f"the return of train {row.train.name}")
            return train_record(row)

    def renamed(self) -> tuple[tuple[str, str], ...]:
        """Former names of parts and trains with today's, the latest last."""
        with self._sessions.reading() as session:
            found = former_names(session)
        return tuple((each.name, each.now) for each in found if each.what != "site")

    # Screws

    def screws(self, telescope_part_id: int) -> tuple[Screw, ...]:
        """The outer screws of a telescope's secondary, clockwise from the top."""
        with self._sessions.reading() as session:
            part_rows.newest_part(session, telescope_part_id)
            return screw_rows.screws_of(session, telescope_part_id)

    def set_screws(self, telescope_part_id: int, screws: tuple[Screw, ...]) -> tuple[Screw, ...]:
        """Keep these as the telescope's screws; one left out is retired."""
        checked = checked_screws(tuple(screws))
        with self._sessions.writing() as session:
            part = part_rows.newest_part(session, telescope_part_id)
            if part.part.kind != "telescope":
                raise BadInput(f"{part.name} is a {part.part.kind}: only a telescope has screws.")
            name_unit(session, f"the screws of {part.name}")
            screw_rows.keep_screws(session, telescope_part_id, checked, self._clock())
            session.flush()
            return screw_rows.screws_of(session, telescope_part_id)
