"""Jobs of choosing, as the screen gives them to the writer: limits, projects, running orders."""

from __future__ import annotations

from typing import TYPE_CHECKING

from logbook.screen.services.run_job import Job
from logbook.sky.limits.limits_parser import limits_text

if TYPE_CHECKING:
    from logbook.records.choosing import ProjectRecord
    from logbook.records.entries import TargetCopy
    from logbook.sky.limits.limits import Limits
    from logbook.store.book import Book


def use_limits(limits: Limits, name: str = "") -> Job:
    """Remember the limits in use; `name` is that of their set, if they are one."""

    def job(book: Book) -> str:
        book.choices.put("limits", limits_text(limits))
        called = f" of the set {name}" if name else ""
        return f"Limits{called}: {limits_text(limits) or 'the usual ones'}"

    return job


def keep_limit_set(name: str, limits: Limits) -> Job:
    def job(book: Book) -> str:
        kept = book.limit_sets.keep(name, limits)
        book.choices.put("limits", limits_text(limits))
        return f"Kept: the set of limits {kept.name}."

    return job


def rename_limit_set(name: str, new_name: str) -> Job:
    def job(book: Book) -> str:
        kept = book.limit_sets.rename(name, new_name)
        return f"Kept: the set is now called {kept.name}."

    return job


def retire_limit_set(name: str) -> Job:
    def job(book: Book) -> str:
        book.limit_sets.retire(name)
        return f"The set {name} is out of the list."

    return job


def add_project(target: TargetCopy, filter_name: str | None, hours: float, note: str) -> Job:
    def job(book: Book) -> str:
        book.projects.add(target, filter_name, hours, note)
        return f"Kept: {hours:g} h wanted of {target.name}{_through(filter_name)}."

    return job


def revise_project(project: ProjectRecord, filter_name: str | None, hours: float, note: str) -> Job:
    def job(book: Book) -> str:
        book.projects.revise(project.id, filter_name, hours, note)
        name = project.target.name
        return f"Kept: {hours:g} h wanted of {name}{_through(filter_name)}."

    return job


def retire_project(project: ProjectRecord) -> Job:
    def job(book: Book) -> str:
        book.projects.retire(project.id)
        return f"The project {project.target.name} is out of the list; its frames stay."

    return job


def _through(filter_name: str | None) -> str:
    return f" through {filter_name}" if filter_name else ""
