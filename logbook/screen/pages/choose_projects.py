"""Projects on a sheet: hours wanted of an object through a filter, owed first."""

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from logbook.errors import BadInput, NotFound
from logbook.screen import choose_flow
from logbook.screen.desk import Desk
from logbook.screen.form import Field, Form
from logbook.screen.live_sheet import ListSheet
from logbook.screen.messages import SkyWanted
from logbook.screen.night_flow import Job
from logbook.store.choosing_records import ProjectRecord

if TYPE_CHECKING:
    from logbook.store.records import TargetCopy

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
        return [_row(each, narrow=self.room[0] < 70) for each in found]

    def about_words(self, found: tuple[ProjectRecord, ...], place: int) -> Text:
        each = found[place]
        last = f"last in the night of {each.last_date}" if each.last_date else "never taken yet"
        owed = f"{each.owed_hours:.1f} h owed" if each.owed_hours else "done"
        return Text(", ".join(word for word in (owed, last, each.note) if word))

    def _chosen(self) -> ProjectRecord | None:
        if self.found is None or self.place is None:
            return None
        return self.found[self.place]

    def taken(self, found: tuple[ProjectRecord, ...], place: int) -> None:
        self.app.push_screen(ProjectForm(self.desk, project=found[place]), self.keep)

    def action_new(self) -> None:
        self.app.push_screen(ProjectForm(self.desk, proposed=self._proposed), self.keep)

    def action_edit(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.app.push_screen(ProjectForm(self.desk, project=chosen), self.keep)

    def action_retire(self) -> None:
        chosen = self._chosen()
        if chosen is not None:
            self.keep(choose_flow.retire_project(chosen))


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


class ProjectForm(Form[Job]):
    """A new project, or other hours for one there is."""

    def __init__(
        self, desk: Desk, *, project: ProjectRecord | None = None, proposed: str = ""
    ) -> None:
        self._desk = desk
        self._project = project
        filters = ", ".join(
            each.part.name for each in desk.view.parts if each.part.kind == "filter"
        )
        fields = [
            Field(
                "hours",
                "Hours wanted",
                f"{project.wanted_hours:g}" if project else "",
                "such as 10",
                check=said_hours,
            ),
            Field(
                "filter",
                "Filter",
                (project.filter_name or "") if project else "",
                f"empty: any. {filters}".strip(),
                required=False,
            ),
            Field(
                "note", "Note", project.note if project else "", "may stay empty", required=False
            ),
        ]
        if project is None:
            fields.insert(
                0,
                Field(
                    "object", "Object", proposed, "as on the entry line", check=self._said_object
                ),
            )
        super().__init__(f"Project {project.target.name}" if project else "A new project", fields)

    def _target(self, typed: str) -> "TargetCopy":
        found = self._desk.sky.find(typed)
        if found is None:
            raise BadInput("no such object: its name or number")
        return found

    def _said_object(self, typed: str) -> str:
        found = self._target(typed)
        return f"{found.name}, {found.kind}"

    def answer(self, values: dict[str, str]) -> Job:
        hours, note = hours_typed(values["hours"]), values["note"]
        filter_name = values["filter"] or None
        if self._project is not None:
            return choose_flow.revise_project(self._project, filter_name, hours, note)
        return choose_flow.add_project(self._target(values["object"]), filter_name, hours, note)


def said_hours(typed: str) -> str:
    """What was understood."""
    return f"{hours_typed(typed):g} h"


def hours_typed(typed: str) -> float:
    """Hours, with or without the unit; minutes with theirs. Raises BadInput."""
    words = typed.casefold().replace(",", ".").strip()
    per_hour = 60.0 if words.endswith(("min", "m")) else 1.0
    digits = words.removesuffix("hours").removesuffix("min").rstrip("hm ").strip()
    try:
        hours = float(digits) / per_hour
    except ValueError:
        raise BadInput("hours, such as 10 or 2.5, or 90 min") from None
    if not 0.0 < hours <= 10_000.0:
        raise BadInput("more than nothing, at most 10000 hours")
    return hours
