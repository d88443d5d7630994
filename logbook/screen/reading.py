"""Reading an entry line with all that the desk knows. Imported after the first frame."""

from logbook.screen.desk import Desk
from logbook.store.line import understand
from logbook.store.line_around import Surroundings, Understood
from logbook.store.running import last_frames, running_object


def read_line(desk: Desk, typed: str) -> Understood:
    """What a line means just now."""
    return understand(typed, surroundings(desk))


def surroundings(desk: Desk) -> Surroundings:
    """What the entry line may take for granted just now."""
    view = desk.view
    return Surroundings(
        now_utc=desk.clock(),
        time_zone=str(desk.zone),
        night_date=desk.night_date,
        find_object=desk.sky.find,
        complete_object=desk.sky.complete,
        filters=tuple(each.part.name for each in view.parts if each.part.kind == "filter"),
        screws=view.screws,
        trains=tuple(each.train.name for each in view.trains),
        parts=tuple(each.part.name for each in view.parts),
        running=running_object(view.timeline),
        last_frames=last_frames(view.timeline),
        last_turns=view.turns,
    )
