"""The forms of a project: a new one, and other hours for one there is."""

from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.screen import choose_flow
from logbook.screen.desk import Desk
from logbook.screen.form import Field, Form
from logbook.screen.night_flow import Job
from logbook.store.choosing_records import ProjectRecord
from logbook.text import fold

if TYPE_CHECKING:
    from logbook.store.records import TargetCopy

Projects = tuple[ProjectRecord, ...]


class NewProject(Form[Job]):
    """Hours of an object; `proposed` is what the object's field begins with."""

    def __init__(self, desk: Desk, known: Projects, proposed: str = "") -> None:
        self._desk = desk
        self._known = known
        wanted = Field("object", "Object", proposed, "a name or a number", check=self._said_object)
        super().__init__("A new project", [wanted, *_fields(desk)])

    def _target(self, typed: str) -> "TargetCopy":
        found = self._desk.sky.find(typed)
        if found is None:
            raise BadInput("no such object: its name or number")
        return found

    def _said_object(self, typed: str) -> str:
        found = self._target(typed)
        return f"{found.name}, {found.kind}"

    def answer(self, values: dict[str, str]) -> Job:
        target = self._target(values["object"])
        filter_name = values["filter"] or None
        _refuse_second(self._known, target.catalogue_id, filter_name)
        return choose_flow.add_project(
            target, filter_name, hours_typed(values["hours"]), values["note"]
        )


class EditProject(Form[Job]):
    """Other hours, another filter or note."""

    def __init__(self, desk: Desk, known: Projects, project: ProjectRecord) -> None:
        self._project = project
        self._known = tuple(each for each in known if each.id != project.id)
        super().__init__(f"Project {project.target.name}", _fields(desk, project))

    def answer(self, values: dict[str, str]) -> Job:
        filter_name = values["filter"] or None
        _refuse_second(self._known, self._project.target.catalogue_id, filter_name)
        return choose_flow.revise_project(
            self._project, filter_name, hours_typed(values["hours"]), values["note"]
        )


def _fields(desk: Desk, project: ProjectRecord | None = None) -> list[Field]:
    filters = [each.part.name for each in desk.view.parts if each.part.kind == "filter"]
    any_of = ": " + ", ".join(filters) if filters else ""
    hours = f"{project.wanted_hours:g}" if project else ""
    through = (project.filter_name if project else None) or ""
    return [
        Field("hours", "Hours wanted", hours, "such as 10", check=said_hours),
        Field("filter", "Filter", through, f"empty for any{any_of}", required=False),
        Field("note", "Note", project.note if project else "", "may stay empty", required=False),
    ]


def _refuse_second(known: Projects, object_id: str, filter_name: str | None) -> None:
    """The book refuses it too; here what was typed is still in the form."""
    for each in known:
        same_filter = fold(each.filter_name or "") == fold(filter_name or "")
        if each.target.catalogue_id == object_id and same_filter:
            raise BadInput(f"There is a project for {each.target.name} so already: change that.")


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
