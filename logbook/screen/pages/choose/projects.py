"""Projects on a sheet: hours wanted of an object through a filter, owed first."""

from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.errors import NotFound
from logbook.records.choosing import ProjectRecord
from logbook.screen.dialogs.live_sheet import ListSheet, room_of, save
from logbook.screen.pages.choose import jobs
from logbook.screen.pages.choose.project_form import EditProject, NewProject
from logbook.screen.services.messages import SkyWanted
from logbook.screen.services.services import Desk

_BAR = 16


class ProjectsSheet(ListSheet[tuple[ProjectRecord, ...]]):
    """Every project with its hours; new ones and edits by form."""

    KEY_WORDS = "Enter or e edit   n new   x take out   Escape closes"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "new", "New", tooltip="Want hours of another object"),
        Binding("e", "edit", "Edit", tooltip="Want other hours"),
        Binding("x", "retire", "Take out", tooltip="Take the project out; its frames stay"),
    ]

    def __init__(self, desk: Desk, proposed: str = "") -> None:
        super().__init__(desk, "Projects: hours in the book of those wanted, owed most first")
        self._proposed = proposed

    def work_out(self) -> tuple[ProjectRecord, ...]:
        if self.desk.book is None:
            raise NotFound("The book is not open yet.")
        return self.desk.book.projects.all()

    def book_changed(self) -> None:
        """Hours owed change the ranking too."""
        super().book_changed()
        self.app.post_message(SkyWanted())

    def top_words(self, found: tuple[ProjectRecord, ...]) -> Text:
        if found:
            return Text("")
        return Text("No project yet: n wants hours of an object, through one filter or any.")

    def rows(self, found: tuple[ProjectRecord, ...]) -> list[Text]:
        return [_row(each, narrow=room_of(self)[0] < 70) for each in found]

    def about_words(self, found: tuple[ProjectRecord, ...], place: int) -> Text:
        each = found[place]
        last = f"last in the night of {each.last_date}" if each.last_date else "never taken yet"
        owed = f"{each.owed_hours:.1f} h owed" if each.owed_hours else "done"
        return Text(", ".join(word for word in (owed, last, each.note) if word))

    def _chosen(self) -> ProjectRecord | None:
        if self.found is None or self.listed.place is None:
            return None
        return self.found[self.listed.place]

    def taken(self, found: tuple[ProjectRecord, ...], place: int) -> None:
        self.app.push_screen(EditProject(self.desk, found, found[place]), partial(save, self))

    def action_new(self) -> None:
        form = NewProject(self.desk, self.found or (), self._proposed)
        self.app.push_screen(form, partial(save, self))

    def action_edit(self) -> None:
        if self.found is not None and self.listed.place is not None:
            self.taken(self.found, self.listed.place)

    def question_before(self, key: str) -> str:
        chosen = self._chosen()
        if key != "x" or chosen is None:
            return ""
        return f"take the project {chosen.target.name} out of the list"

    def action_retire(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            save(self, jobs.retire_project(chosen))


def _row(each: ProjectRecord, *, narrow: bool) -> Text:
    part = min(1.0, each.held_hours / each.wanted_hours)
    full = int(part * _BAR)
    row = Text(
        f"{each.target.name[:22]:22} {(each.filter_name or 'any')[:6]:6} ", "bold", no_wrap=True
    )
    row.append("" if narrow else "■" * full + "·" * (_BAR - full) + " ", "not bold")
    row.append(f"{each.held_hours:5.1f} of {each.wanted_hours:g} h", "not bold")
    row.append("  done" if not each.owed_hours else f"  {each.owed_hours:.1f} owed", "bold")
    return row
