"""Starting an object that was chosen in a list: by the entry line, or after a question."""

from textual.app import App

from logbook.records.runs import running_object
from logbook.screen.services.services import Desk
from logbook.screen.widgets.entry_bar import EntryBar
from logbook.screen.widgets.question import Question


def start_object(app: App[int], desk: Desk, object_id: str) -> None:
    """Put `start OBJECT` on the line; where that would end another object, ask, with another key.

    A line that is half typed is left as it is.
    """
    bar, running = app.query_one(EntryBar), running_object(desk.view.timeline)
    if running is None or running.catalogue_id == object_id:
        bar.propose(f"start {object_id}")
        bar.lines.unseen.comes_into_view()
        return

    def answered(yes: bool | None) -> None:
        if yes:
            bar.enter(f"start {object_id}")

    words = f"{running.name} is running. End it and start {object_id}?"
    app.push_screen(Question(words, "start it", "y"), answered)
