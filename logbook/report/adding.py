"""Keeping an entry from the shell, by the same grammar as on the screen."""

from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.sky.finding import finder
from logbook.store.line import understand
from logbook.store.line_around import Surroundings
from logbook.store.opening import now_utc
from logbook.store.running import last_frames, running_object
from logbook.store.targets import find_target

if TYPE_CHECKING:
    from logbook.store.book import Book


def add_line(book: "Book", typed: str) -> str:
    """Keep a line in the night in progress; what was kept, in words. Raises BadInput."""
    night = book.nights.in_progress()
    if night is None:
        raise BadInput("No night is in progress: start `logbook` and press F10.")
    timeline = book.timeline.of_night(night.id)
    train = book.timeline.train_in_use(night.id)
    kinds = {each.part.name: each for each in book.kit.parts()}
    telescope = next(
        (
            record.id
            for record in kinds.values()
            if train and record.id in train.part_ids and record.part.kind == "telescope"
        ),
        None,
    )
    around = Surroundings(
        now_utc=now_utc(),
        time_zone=night.site.time_zone,
        night_date=night.local_date,
        find_object=find_target,
        complete_object=lambda text: [each.matched for each in finder().find(text, limit=6)],
        filters=tuple(each.part.name for each in kinds.values() if each.part.kind == "filter"),
        screws=book.kit.screws(telescope) if telescope is not None else (),
        trains=tuple(each.train.name for each in book.kit.trains()),
        parts=tuple(kinds),
        running=running_object(timeline),
        last_frames=last_frames(timeline),
        last_turns=book.timeline.turns(telescope) if telescope is not None else (),
    )
    understood = understand(typed, around)
    if understood.entry is None:
        raise BadInput(understood.problem or "type what happened")
    if understood.corrects_entry_id is not None:
        book.timeline.correct(understood.corrects_entry_id, understood.entry)
    else:
        book.timeline.keep(night.id, understood.entry)
    return f"Kept: {understood.said}"
