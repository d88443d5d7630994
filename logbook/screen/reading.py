"""Reading an entry line with all that the desk knows. Imported after the first frame."""

from logbook.screen.desk import Desk
from logbook.store.around import gathered
from logbook.store.line import understand
from logbook.store.line_around import Surroundings, Understood


def read_line(desk: Desk, typed: str) -> Understood:
    """What a line means just now."""
    return understand(typed, surroundings(desk))


def surroundings(desk: Desk) -> Surroundings:
    """What the entry line may take for granted just now."""
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
        turns=view.turns,
        timeline=view.timeline,
    )
