"""Reading an entry line with all that the desk knows. Imported after the first frame."""

from collections.abc import Sequence

from logbook.screen.desk import Desk
from logbook.store.around import gathered
from logbook.store.correcting import before_entry
from logbook.store.line import understand
from logbook.store.line_around import Surroundings, Understood
from logbook.store.records import EntryRecord


def read_line(desk: Desk, typed: str) -> Understood:
    """What a line means just now."""
    return understand(typed, surroundings(desk))


def read_again(desk: Desk, typed: str, record: EntryRecord) -> Understood:
    """What a line means in the place of an entry."""
    return understand(typed, surroundings_then(desk, record))


def surroundings_then(desk: Desk, record: EntryRecord) -> Surroundings:
    """What a line in the place of an entry may take for granted: what ran then, and the like."""
    turns = before_entry(desk.view.turns, record)
    return _surroundings(desk, before_entry(desk.view.timeline, record), turns)


def surroundings(desk: Desk) -> Surroundings:
    """What the entry line may take for granted just now."""
    return _surroundings(desk, desk.view.timeline, desk.view.turns)


def _surroundings(
    desk: Desk, timeline: Sequence[EntryRecord], turns: tuple[EntryRecord, ...]
) -> Surroundings:
    view = desk.view
    return gathered(
        now_utc=desk.clock(),
        time_zone=str(desk.zone),
        night_date=desk.night_date,
        find_object=desk.sky.find,
        complete_object=desk.sky.complete,
        parts=view.parts,
        trains=view.trains,
        screws=view.screws,
        turns=turns,
        timeline=timeline,
    )
