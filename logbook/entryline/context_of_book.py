"""What an entry line may take for granted, gathered from a book as it was read."""

from collections.abc import Callable, Sequence
from datetime import date, datetime

from logbook.entryline.context import Surroundings
from logbook.errors import BadInput
from logbook.records.entries import (
    EntryRecord,
    NewEntry,
    NightRecord,
    OpenNight,
    PartRecord,
    Screw,
    TargetCopy,
    TrainRecord,
)
from logbook.records.runs import last_frames, running_object
from logbook.sky.night.clock import night_date, zone_of

# What may be written down by day, with no night in progress.
BY_DAY = ("upkeep", "adjust", "transport", "note", "trouble", "setup")


def night_for(entry: NewEntry, night: NightRecord | OpenNight | None) -> int | None:
    """The night an entry belongs to: the one in progress, or None for what may be logged by day.

    Raises BadInput where there is none, or where the one in progress was left open and is past.
    """
    by_day = entry.kind in BY_DAY
    if night is None:
        if by_day:
            return None
        raise BadInput(
            "Not kept: no night is in progress. F10 starts one; to a finished night it is added "
            "on Past: F6, then e."
        )
    own_date = night_date(entry.happened_utc, zone_of(night.time_zone))
    if own_date == night.local_date:
        return night.id
    if by_day:
        return None
    if own_date < night.local_date:
        raise BadInput(
            f"Not kept: that was in the night of {own_date}, before the one in progress. It is "
            "added to its night on Past: F6, then e."
        )
    raise BadInput(
        f"Not kept: the night of {night.local_date} was left open and is over. F10 ends it, and "
        "once more starts the new one."
    )


def telescope_of(train: TrainRecord | None, parts: Sequence[PartRecord]) -> PartRecord | None:
    """The telescope of a train, as the book's part."""
    if train is None:
        return None
    by_id = {record.id: record for record in parts}
    used = (by_id[part_id] for part_id in train.part_ids if part_id in by_id)
    return next((record for record in used if record.part.kind == "telescope"), None)


def gathered(
    *,
    now_utc: datetime,
    time_zone: str,
    night_date: date,
    find_object: Callable[[str], TargetCopy | None],
    complete_object: Callable[[str], list[str]],
    parts: Sequence[PartRecord],
    trains: Sequence[TrainRecord],
    screws: tuple[Screw, ...],
    turns: tuple[EntryRecord, ...],
    timeline: Sequence[EntryRecord],
    renamed: tuple[tuple[str, str], ...] = (),
) -> Surroundings:
    """The surroundings of a line typed at `now_utc` in the night of that timeline."""
    return Surroundings(
        now_utc=now_utc,
        time_zone=time_zone,
        night_date=night_date,
        find_object=find_object,
        complete_object=complete_object,
        filters=tuple(each.part.name for each in parts if each.part.kind == "filter"),
        screws=screws,
        trains=tuple(each.train.name for each in trains),
        parts=tuple(each.part.name for each in parts),
        renamed=renamed,
        running=running_object(timeline),
        last_frames=last_frames(timeline),
        last_turns=turns,
    )
