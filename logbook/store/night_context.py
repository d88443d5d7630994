"""A night as it was, so that a line may be written in it the next afternoon or a year later."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from logbook.entryline.context import Surroundings, Unclear, Understood, no_object, no_objects
from logbook.entryline.context_of_book import gathered, telescope_of
from logbook.entryline.correct import before_entry
from logbook.entryline.understand import time_named, understand
from logbook.records.entries import (
    LATEST_TURNS,
    EntryRecord,
    NightRecord,
    PartRecord,
    Screw,
    TargetCopy,
    TrainRecord,
)
from logbook.sky.night.clock import local_hhmm, night_date, zone_or_utc

if TYPE_CHECKING:
    from logbook.store.book import Book

Finder = Callable[[str], TargetCopy | None]
Completer = Callable[[str], list[str]]


@dataclass(frozen=True, slots=True)
class TelescopeThen:
    """What a line about the screws needs: their names, and the turns up to the night's end."""

    screws: tuple[Screw, ...] = ()
    turns: tuple[EntryRecord, ...] = ()


@dataclass(frozen=True, slots=True)
class NightContext:
    """A night with all that its lines are read against.

    parts -- the retired too: a night of last year used what was there then.
    telescopes -- of the trains that were in use, by the id of the train's revision.
    """

    night: NightRecord
    timeline: tuple[EntryRecord, ...]
    parts: tuple[PartRecord, ...]
    trains: tuple[TrainRecord, ...]
    telescopes: Mapping[int, TelescopeThen]
    renamed: tuple[tuple[str, str], ...] = ()

    @property
    def time_zone(self) -> str:
        return self.night.site.time_zone

    def local(self, instant: datetime) -> datetime:
        return instant.astimezone(zone_or_utc(self.time_zone))

    def clock_words(self, instant: datetime) -> str:
        """`22:41` at the night's site."""
        return local_hhmm(instant, zone_or_utc(self.time_zone))

    def holds(self, instant: datetime) -> bool:
        """Whether an instant is of this night, from noon to noon."""
        return night_date(instant, zone_or_utc(self.time_zone)) == self.night.local_date

    def train_revision_at(self, instant: datetime) -> int | None:
        """The revision of the train in use then: the last change of kit, else the night's."""
        changes = (
            each.train_revision_id
            for each in reversed(self.timeline)
            if each.content.kind == "kit" and each.content.happened_utc <= instant
        )
        began_with = None if self.night.train is None else self.night.train.revision_id
        return next(changes, began_with)


def read_night_context(book: "Book", night_id: int) -> NightContext:
    """Read a night for its lines. Raises NotFound."""
    night = book.nights.get(night_id)
    timeline = book.timeline.of_night(night_id)
    parts = book.kit.parts(include_retired=True)
    used = {each.train_revision_id for each in timeline}
    if night.train is not None:
        used.add(night.train.revision_id)
    last_utc = night.started_utc + timedelta(days=1)
    return NightContext(
        night,
        timeline,
        parts,
        book.kit.trains(),
        {each: _telescope_then(book, each, parts, last_utc) for each in used if each is not None},
        book.kit.renamed(),
    )


def _telescope_then(
    book: "Book", revision_id: int, parts: tuple[PartRecord, ...], last_utc: datetime
) -> TelescopeThen:
    telescope = telescope_of(book.kit.train_at(revision_id), parts)
    if telescope is None:
        return TelescopeThen()
    turns = book.timeline.turns(telescope.id, until_utc=last_utc, newest=LATEST_TURNS)
    return TelescopeThen(book.kit.screws(telescope.id), turns)


def surroundings_of(
    context: NightContext,
    record: EntryRecord,
    now_utc: datetime,
    find: Finder = no_object,
    complete: Completer = no_objects,
) -> Surroundings:
    """What a line in the place of an entry of the night may take for granted."""
    at_utc = record.content.happened_utc
    own = replace(context, timeline=before_entry(context.timeline, record))
    around = _surroundings(own, at_utc, now_utc, find, complete)
    return replace(around, last_turns=before_entry(around.last_turns, record))


def understand_in(
    context: NightContext,
    typed: str,
    now_utc: datetime,
    find: Finder = no_object,
    complete: Completer = no_objects,
) -> Understood:
    """What a line means in that night, at the time that it names. It has to name one."""
    around = _surroundings(context, now_utc, now_utc, find, complete)
    try:
        named_utc = time_named(typed, around)
    except Unclear as refusal:
        return Understood(None, problem=str(refusal))
    if named_utc is None and not (context.night.ended_utc is None and context.holds(now_utc)):
        problem = "Say when in that night: at 22:15, then what happened." if typed.strip() else None
        return Understood(None, problem=problem)
    at_utc = named_utc or now_utc
    if not context.holds(at_utc):
        return Understood(None, problem=not_in_night(context.night))
    return understand(typed, _surroundings(context, at_utc, now_utc, find, complete))


def not_in_night(night: NightRecord) -> str:
    return f"That is not in the night of {night.local_date}: write a time of it, as in at 22:15."


def doubt_of_time(night: NightRecord, happened_utc: datetime) -> str:
    """What is odd about a time of a finished night: it had not begun, or was over; else ""."""
    if night.ended_utc is None:
        return ""
    zone = zone_or_utc(night.site.time_zone)
    when = local_hhmm(happened_utc, zone)
    if happened_utc < night.started_utc.replace(second=0, microsecond=0):
        began = local_hhmm(night.started_utc, zone)
        return f"{when} is before that night began, at {began}."
    if happened_utc > night.ended_utc:
        ended = local_hhmm(night.ended_utc, zone)
        return f"{when} is after that night ended, at {ended}."
    return ""


def _surroundings(
    context: NightContext, at_utc: datetime, now_utc: datetime, find: Finder, complete: Completer
) -> Surroundings:
    revision_id = context.train_revision_at(at_utc)
    then = context.telescopes.get(revision_id or 0, TelescopeThen())
    return gathered(
        now_utc=now_utc,
        time_zone=context.time_zone,
        night_date=context.night.local_date,
        find_object=find,
        complete_object=complete,
        parts=context.parts,
        trains=context.trains,
        screws=then.screws,
        turns=tuple(each for each in then.turns if each.content.happened_utc <= at_utc),
        timeline=[each for each in context.timeline if each.content.happened_utc <= at_utc],
        renamed=context.renamed,
    )
