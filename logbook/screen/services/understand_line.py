"""Reading an entry line with all that the desk knows. Imported after the first frame."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from logbook.entryline.context import Surroundings, Understood
from logbook.entryline.context_of_book import gathered, night_for
from logbook.entryline.correct import before_entry
from logbook.entryline.understand import time_named, understand
from logbook.entryline.waiting_line import WaitingLine
from logbook.errors import LogbookError
from logbook.records.entries import EntryRecord
from logbook.screen.services.failures import reason
from logbook.screen.services.services import Desk
from logbook.sky.night.clock import night_date
from logbook.store.night_context import NightContext, surroundings_of, understand_in

_SOON = timedelta(minutes=1)  # the time that is shown is the same


def read_line(desk: Desk, typed: str, at_utc: datetime | None = None) -> Understood:
    """What a line means just now, or if Enter was pressed on it then."""
    return understand(typed, surroundings(desk, at_utc))


def read_since(desk: Desk, typed: str, came: WaitingLine) -> Understood:
    """What a line means that Enter was pressed on before: as it is, it bears the time of that.

    It says which time it bears; a line that was changed since is of now.
    """
    now = desk.clock()
    if came.at_utc is None or now - came.at_utc < _SOON:
        return read_line(desk, typed, came.at_utc if typed == came.text else None)
    is_same = typed == came.text
    at_utc = came.at_utc if is_same else now
    around = surroundings(desk, at_utc)
    understood = understand(typed, around)
    if understood.entry is None or time_named(typed, around) is not None:
        return understood
    then = desk.local(came.at_utc)
    day = "" if then.date() == desk.local(now).date() else f" on {then.day} {then:%B}"
    words = f"at its first Enter{day}"
    if not is_same:
        words = f"now, not at its first Enter, {then:%H:%M}{day}"
    return replace(understood, said=f"{understood.said} · {words}")


def words_before_enter(desk: Desk, understood: Understood) -> tuple[str, bool]:
    """What Enter would do with a line, and whether it would refuse it."""
    if understood.entry is None:
        return understood.problem or "", True
    if understood.corrects_entry_id is not None:
        return f"Enter logs: {understood.said}", False
    try:
        night_id = night_for(understood.entry, desk.view.night)
    except LogbookError as refusal:
        return f"Enter would not log this: {reason(str(refusal))}", True
    by_day = " · in no night" if night_id is None else ""
    return f"Enter logs: {understood.said}{by_day}", False


def read_in(desk: Desk, typed: str, context: NightContext) -> Understood:
    """What a line means in a night of the past."""
    return understand_in(context, typed, desk.clock(), desk.sky.find, desk.sky.complete)


def read_again(
    desk: Desk, typed: str, record: EntryRecord, context: NightContext | None = None
) -> Understood:
    """What a line means in the place of an entry."""
    return understand(typed, surroundings_then(desk, record, context))


def surroundings_then(
    desk: Desk, record: EntryRecord, context: NightContext | None = None
) -> Surroundings:
    """What a line in the place of an entry may take for granted: what ran then, and the like.

    context -- the night of the entry, where that is not the one in progress.
    """
    if context is not None:
        return surroundings_of(context, record, desk.clock(), desk.sky.find, desk.sky.complete)
    turns = before_entry(desk.view.turns, record)
    return _surroundings(desk, before_entry(desk.view.timeline, record), turns)


def surroundings(desk: Desk, at_utc: datetime | None = None) -> Surroundings:
    """What the entry line may take for granted: just now, or if Enter was pressed then."""
    return _surroundings(desk, desk.view.timeline, desk.view.turns, at_utc)


def _surroundings(
    desk: Desk,
    timeline: Sequence[EntryRecord],
    turns: tuple[EntryRecord, ...],
    at_utc: datetime | None = None,
) -> Surroundings:
    view = desk.view
    return gathered(
        now_utc=at_utc or desk.clock(),
        time_zone=str(desk.zone),
        night_date=_night_date(desk, at_utc),
        find_object=desk.sky.find,
        complete_object=desk.sky.complete,
        parts=view.parts,
        trains=view.trains,
        screws=view.screws,
        turns=turns,
        timeline=timeline,
        renamed=view.renamed,
    )


def _night_date(desk: Desk, at_utc: datetime | None) -> date:
    """The night that a line belongs to, which may be another than the one that it is now."""
    if at_utc is not None:
        then = night_date(at_utc, desk.zone)
        if then != night_date(desk.clock(), desk.zone):
            return then
    return desk.night_date
