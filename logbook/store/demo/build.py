"""Builds the demo season into a book by the program's own means.

What is typed in the text goes through the entry line like anything typed at night, and the book's
clock stands at the time of each line, so that the book says when everything was written down.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, time
from pathlib import Path

from logbook.entryline.times import local_instant
from logbook.entryline.understand import Surroundings, understand
from logbook.errors import BadInput
from logbook.kit.parts.part import Part
from logbook.records.entries import EntryRecord, NewEntry, TrainRecord
from logbook.records.runs import last_frames, running_object
from logbook.sky.night.clock import zone_or_utc
from logbook.store import opening
from logbook.store.book import Book
from logbook.store.choosing.catalogue_targets import find_target
from logbook.store.demo.text import Change, NightText, Season, TimedLine, read_season

SEASON_BEGINS = datetime(2026, 3, 1, 10, 0, tzinfo=UTC)  # when the kit was entered


class _Clock:
    """The time at which something is written down."""

    def __init__(self, now_utc: datetime) -> None:
        self.now_utc = now_utc

    def __call__(self) -> datetime:
        return self.now_utc


def build(folder: Path, path: Path) -> None:
    """Make a book at `path` of the season written down in `folder`.

    Raises BookRefused if anything lies at `path`, BadInput for text that is no season.
    """
    season = read_season(folder)
    clock = _Clock(SEASON_BEGINS)
    opening.make_book(path, clock=clock)
    with opening.open_book(path, clock=clock) as book:
        _Builder(book, clock, season).build()


class _Builder:
    """Keeps a season in a book, in the order in which it happened."""

    def __init__(self, book: Book, clock: _Clock, season: Season) -> None:
        self._book = book
        self._clock = clock
        self._season = season
        self._filters = tuple(part.name for part in season.parts if part.kind == "filter")
        self._parts = tuple(part.name for part in season.parts)
        self._trains = tuple(train.name for train in season.trains)
        self._turns: dict[str, tuple[EntryRecord, ...]] = {}

    def build(self) -> None:
        self._keep_sites_and_kit()
        steps: list[tuple[datetime, Callable[[], object]]] = [
            *((each.at_utc, lambda each=each: self._change(each)) for each in self._season.changes),
            *((each.at_utc, lambda each=each: self._day(each)) for each in self._season.days),
            *((each.from_utc, lambda each=each: self._night(each)) for each in self._season.nights),
            *(
                (each.at_utc, lambda each=each: each.keep(self._book))
                for each in self._season.plans
            ),
        ]
        for at_utc, step in sorted(steps, key=lambda step: step[0]):
            self._clock.now_utc = at_utc
            step()

    def _keep_sites_and_kit(self) -> None:
        for site in self._season.sites:
            self._book.sites.add(site)
        ids = {part.name: self._book.kit.add_part(part).id for part in self._season.parts}
        for telescope, screws in self._season.screws.items():
            self._book.kit.set_screws(ids[telescope], screws)
        for train in self._season.trains:
            self._book.kit.add_train(
                train.name,
                train.kind,
                tuple(ids[name] for name in train.parts),
                tuple(ids[name] for name in train.carried),
                train.placements,
            )

    def _change(self, change: Change) -> None:
        if change.train:
            self._carry(change)
            return
        known = self._book.kit.part_named(change.part)
        changed = {(value.quantity, value.basis) for value in change.values}
        kept = (v for v in known.part.values if (v.quantity, v.basis) not in changed)
        part = replace(known.part, values=(*kept, *change.values))
        if change.state is not None:
            part = replace(part, state=change.state, reason="")
        self._book.kit.revise_part(known.id, part, change.why)

    def _carry(self, change: Change) -> None:
        train = self._book.kit.train_named(change.train)
        more = tuple(self._book.kit.part_named(name).id for name in change.carry)
        carried = (*train.carried_ids, *more)
        self._book.kit.revise_train(train.id, train.part_ids, carried, change.why)

    def _day(self, line: TimedLine) -> None:
        zone = self._season.sites[0].time_zone
        day = line.at_utc.astimezone(zone_or_utc(zone)).date()
        around = Surroundings(line.at_utc, zone, day, find_target, parts=self._parts)
        self._book.timeline.keep(None, _entry(line, around)[0])

    def _night(self, text: NightText) -> None:
        site = self._book.sites.named(text.site)
        train = self._book.kit.train_named(text.train)
        night = self._book.nights.start(site.id, train.id, text.observer, text.from_utc)
        kept = _Timeline(self, night.id, text, site.site.time_zone, train)
        for line in text.lines:
            self._clock.now_utc = line.at_utc
            kept.keep(line)
        self._clock.now_utc = text.to_utc
        self._book.nights.end(night.id, text.to_utc)


class _Timeline:
    """One night's entries on their way into the book."""

    def __init__(
        self, season: _Builder, night_id: int, text: NightText, time_zone: str, train: TrainRecord
    ) -> None:
        self._season = season
        self._book = season._book
        self._night_id = night_id
        self._text = text
        self._time_zone = time_zone
        self._telescope = _telescope(train)
        self._records: list[EntryRecord] = []

    def keep(self, line: TimedLine) -> None:
        if line.about is not None:
            self._correct(line, line.about)
            return
        entry, corrects = _entry(line, self._around(line.at_utc))
        if corrects is not None:
            self._replace(corrects, self._book.timeline.correct(corrects, entry))
            return
        record = self._book.timeline.keep(self._night_id, entry)
        self._records.append(record)
        if entry.turn is not None:
            self._set_turns((*self._turns(), record))
        if entry.train_name is not None:
            self._telescope = _telescope(self._book.kit.train_named(entry.train_name))

    def _correct(self, line: TimedLine, about: time) -> None:
        """A line of the text that stands for the correction or withdrawal of an earlier one."""
        old = self._record_at(about, line.where)
        if not line.text:
            self._book.timeline.withdraw(old.id)
            self._records.remove(old)
            return
        entry, _ = _entry(line, self._around(old.content.happened_utc))
        self._replace(old.id, self._book.timeline.correct(old.id, entry))

    def _record_at(self, about: time, where: str) -> EntryRecord:
        around = self._around(self._text.to_utc)
        at_utc, _ = local_instant(about, around)
        for record in reversed(self._records):
            if record.content.happened_utc == at_utc:
                return record
        raise BadInput(f"{where}: there is no line at {about:%H:%M}")

    def _replace(self, old_id: int, new: EntryRecord) -> None:
        self._records = [new if each.id == old_id else each for each in self._records]
        self._set_turns(tuple(new if each.id == old_id else each for each in self._turns()))

    def _turns(self) -> tuple[EntryRecord, ...]:
        return self._season._turns.get(self._telescope, ())

    def _set_turns(self, turns: tuple[EntryRecord, ...]) -> None:
        self._season._turns[self._telescope] = turns

    def _around(self, now_utc: datetime) -> Surroundings:
        season = self._season
        return Surroundings(
            now_utc=now_utc,
            time_zone=self._time_zone,
            night_date=self._text.local_date,
            find_object=find_target,
            filters=season._filters,
            screws=season._season.screws.get(self._telescope, ()),
            trains=season._trains,
            parts=season._parts,
            running=running_object(self._records),
            last_frames=last_frames(self._records),
            last_turns=self._turns(),
        )


def _telescope(train: TrainRecord) -> str:
    found: Part | None = next(
        (part for part in train.train.parts if part.kind == "telescope"), None
    )
    return "" if found is None else found.name


def _entry(line: TimedLine, around: Surroundings) -> tuple[NewEntry, int | None]:
    """What a line means, and the entry it takes the place of. Raises BadInput saying where."""
    understood = understand(line.text, around)
    if understood.entry is None:
        raise BadInput(f"{line.where}: {line.text}: {understood.problem}")
    return understood.entry, understood.corrects_entry_id
