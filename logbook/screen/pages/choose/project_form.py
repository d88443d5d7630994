"""The forms of a project: a new one, and other hours for one there is."""

import re
from typing import TYPE_CHECKING

from logbook.errors import BadInput
from logbook.records.choosing import ProjectRecord
from logbook.screen.dialogs.field import Field
from logbook.screen.dialogs.form import Form
from logbook.screen.pages.choose import jobs
from logbook.screen.services.run_job import Job
from logbook.screen.services.services import Desk
from logbook.text import fold

if TYPE_CHECKING:
    from logbook.records.entries import TargetCopy

Projects = tuple[ProjectRecord, ...]


class NewProject(Form[Job]):
    """Hours of an object; `proposed` is what the object's field begins with."""

    def __init__(self, desk: Desk, known: Projects, proposed: str = "") -> None:
        self._desk = desk
        self._known = known
        wanted = Field(
            "object",
            "Object",
            proposed,
            "a name or a number",
            check=self._said_object,
            help="What is to be photographed: a name or a number of the catalogue.",
            example="m31, ngc 7000, veil",
        )
        super().__init__("A new project", [wanted, *_fields(desk)], about=proposed)

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
        return jobs.add_project(target, filter_name, hours_typed(values["hours"]), values["note"])


class EditProject(Form[Job]):
    """Other hours, another filter or note."""

    def __init__(self, desk: Desk, known: Projects, project: ProjectRecord) -> None:
        self._project = project
        self._known = tuple(each for each in known if each.id != project.id)
        heading = f"Project {project.target.name}"
        super().__init__(heading, _fields(desk, project), about=f"{project.id}")

    def answer(self, values: dict[str, str]) -> Job:
        filter_name = values["filter"] or None
        _refuse_second(self._known, self._project.target.catalogue_id, filter_name)
        return jobs.revise_project(
            self._project, filter_name, hours_typed(values["hours"]), values["note"]
        )


def _fields(desk: Desk, project: ProjectRecord | None = None) -> list[Field]:
    filters = [each.part.name for each in desk.view.parts if each.part.kind == "filter"]
    any_of = ": " + ", ".join(filters) if filters else ""
    hours = f"{project.wanted_hours:g}" if project else ""
    through = (project.filter_name if project else None) or ""
    return [
        Field(
            "hours",
            "Hours wanted",
            hours,
            "such as 10",
            check=said_hours,
            help="How many hours of light are wanted in all.",
            example="10, 2 h 30, 90 min",
        ),
        Field(
            "filter",
            "Filter",
            through,
            f"empty for any{any_of}",
            required=False,
            help="The filter those hours are to be taken through. Empty: any, or none.",
            example=filters[0] if filters else "Ha",
        ),
        Field(
            "note",
            "Note",
            project.note if project else "",
            "may stay empty",
            required=False,
            help="Anything to remember about it.",
            example="the north-east edge is missing",
        ),
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


_HOURS = re.compile(r"([0-9]*\.?[0-9]+)\s*(?:h|hours?)?")
_MINUTES = re.compile(r"([0-9]*\.?[0-9]+)\s*(?:m|min|minutes?)")
_BOTH = re.compile(r"([0-9]+)\s*(?:h|hours?)\s*([0-5]?[0-9])\s*(?:m|min|minutes?)?")


def hours_typed(typed: str) -> float:
    """`10`, `2.5 h`, `1 h 30`, `90 min`; a bare number is hours. Raises BadInput."""
    words = typed.casefold().replace(",", ".").strip()
    if found := _BOTH.fullmatch(words):
        hours = int(found[1]) + int(found[2]) / 60.0
    elif found := _MINUTES.fullmatch(words):
        hours = float(found[1]) / 60.0
    elif found := _HOURS.fullmatch(words):
        hours = float(found[1])
    else:
        raise BadInput("hours, such as 10, 2.5, 1 h 30 or 90 min")
    if not 0.0 < hours <= 10_000.0:
        raise BadInput("more than nothing, at most 10000 hours")
    return hours
